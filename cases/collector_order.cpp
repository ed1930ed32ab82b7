#include "cases/collector_order.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <set>

namespace pulsewright::cases {
namespace {

constexpr std::string_view order_key = "collector_order";

void refuse(Section& s, std::string message, std::string advice) {
  s.problem(order_key, std::move(message), std::move(advice));
}

std::string cylinders_of(const CollectorGroup& group) {
  return fmt::format("collector {} has cylinders {}", group.name, fmt::join(group.cylinders, ", "));
}

// The group that the first cylinder of the list (not empty) belongs to; null if there is none.
CollectorGroup* group_of(std::vector<CollectorGroup>& groups, const std::vector<int>& list) {
  for (CollectorGroup& group : groups) {
    const auto& members = group.cylinders;
    if (std::find(members.begin(), members.end(), list.front()) != members.end()) return &group;
  }
  return nullptr;
}

bool names_each_once(Section& s, const std::vector<int>& list, const CollectorGroup& group) {
  std::set<int> left(group.cylinders.begin(), group.cylinders.end());
  std::set<int> seen;
  for (const int cylinder : list) {
    if (!seen.insert(cylinder).second) {
      refuse(s, fmt::format("names cylinder {} twice", cylinder), cylinders_of(group));
      return false;
    }
    if (left.erase(cylinder) == 0) {
      refuse(s,
             fmt::format("names cylinder {} beside cylinder {}, whose collector it does not "
                         "share",
                         cylinder, list.front()),
             cylinders_of(group));
      return false;
    }
  }
  if (left.empty()) return true;
  refuse(s, fmt::format("leaves out cylinder {}", *left.begin()), cylinders_of(group));
  return false;
}

// Whether the members stand side by side, counted round the collector.
bool are_neighbours(const CollectorGroup& group, const std::vector<int>& members) {
  const auto n = static_cast<int>(group.cylinders.size());
  std::vector<bool> taken(static_cast<std::size_t>(n), false);
  for (std::size_t i = 0; i < group.cylinders.size(); ++i) {
    const bool member =
        std::find(members.begin(), members.end(), group.cylinders[i]) != members.end();
    taken[static_cast<std::size_t>(group.collector_position[i] - 1)] = member;
  }
  int borders = 0;
  for (int k = 0; k < n; ++k) {
    const auto here = static_cast<std::size_t>(k);
    if (taken[here] != taken[static_cast<std::size_t>((k + 1) % n)]) ++borders;
  }
  return borders <= 2;
}

void place(const std::vector<int>& list, CollectorGroup& group) {
  const auto n = list.size();
  const auto place_of = [&](int cylinder) {
    return static_cast<std::size_t>(std::find(list.begin(), list.end(), cylinder) - list.begin());
  };
  const std::size_t start = place_of(group.cylinders.front());
  for (std::size_t i = 0; i < n; ++i) {
    group.collector_position[i] =
        static_cast<int>((place_of(group.cylinders[i]) + n - start) % n) + 1;
  }
}

}  // namespace

void set_collector_order(Section& s, const std::vector<std::vector<int>>& lists,
                         std::vector<CollectorGroup>& groups) {
  if (!s.has(order_key)) return;
  if (lists.size() != groups.size()) {
    refuse(
        s,
        fmt::format("has {} lists, and the header has {} collectors", lists.size(), groups.size()),
        "write one list of cylinders for each collector, for example: collector_order = [[1, 5, "
        "3, 7], [2, 4, 6, 8]]");
    return;
  }
  for (const std::vector<int>& list : lists) {
    CollectorGroup* group = group_of(groups, list);
    if (!group) {
      refuse(s, fmt::format("names cylinder {}, which no collector has", list.front()),
             "write the cylinders of a collector as they stand round it");
      return;
    }
    if (!names_each_once(s, list, *group)) return;
    place(list, *group);
    for (const std::vector<int>& part : group->subgroups) {
      if (are_neighbours(*group, part)) continue;
      refuse(s,
             fmt::format("separates cylinders {}, which share a half of collector {}",
                         fmt::join(part, " and "), group->name),
             "let the tubes of a half stand side by side");
      return;
    }
  }
}

std::vector<int> order_round(const CollectorGroup& group) {
  std::vector<int> order(group.cylinders.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[static_cast<std::size_t>(group.collector_position[i] - 1)] = group.cylinders[i];
  }
  return order;
}

double collector_clock(std::size_t tubes, double position) {
  return std::fmod(360.0 / static_cast<double>(tubes) * (position - 1.5) + 360, 360.0);
}

std::vector<int> mirrored_order(const std::vector<int>& positions) {
  const int n = static_cast<int>(positions.size());
  std::vector<int> mirrored;
  mirrored.reserve(positions.size());
  for (const int position : positions) mirrored.push_back((n + 1 - position) % n + 1);
  return mirrored;
}

std::vector<std::vector<int>> collector_orders(const CollectorGroup& group) {
  std::vector<int> positions(group.cylinders.size());
  std::iota(positions.begin(), positions.end(), 1);
  std::vector<std::vector<int>> orders;
  do {
    if (positions.front() != 1) break;  // the rest are turns of these
    CollectorGroup turned = group;
    turned.collector_position = positions;
    const bool mirrored = positions > mirrored_order(positions);
    const bool allowed =
        std::all_of(group.subgroups.begin(), group.subgroups.end(),
                    [&](const auto& part) { return are_neighbours(turned, part); });
    if (!mirrored && allowed) orders.push_back(positions);
  } while (std::next_permutation(positions.begin(), positions.end()));
  return orders;
}

}  // namespace pulsewright::cases
