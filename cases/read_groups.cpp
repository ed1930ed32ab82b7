#include "cases/read_groups.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "cases/counted.hpp"
#include "cases/grouping.hpp"

namespace pulsewright::cases {
namespace {

std::vector<CollectorGroup> given_groups(Section& s, const Engine& engine,
                                         const std::vector<std::vector<int>>& lists) {
  std::set<int> seen;
  const int n = static_cast<int>(engine.firing_order.size());
  std::vector<CollectorGroup> out;
  for (const std::vector<int>& list : lists) {
    for (const int cylinder : list) {
      if (cylinder < 1 || cylinder > n) {
        s.problem("groups",
                  fmt::format("names cylinder {}, which the engine does not have", cylinder),
                  fmt::format("the engine has cylinders 1 to {}", n));
        return {};
      }
      if (!seen.insert(cylinder).second) {
        s.problem("groups", fmt::format("names cylinder {} twice", cylinder),
                  "every cylinder has one collector");
        return {};
      }
    }
    const auto letter = static_cast<char>('A' + static_cast<int>(out.size()));
    out.push_back(make_group(engine, std::string(1, letter), list));
  }
  for (int cylinder = 1; cylinder <= n; ++cylinder) {
    if (seen.count(cylinder) > 0) continue;
    s.problem("groups", fmt::format("leaves out cylinder {}", cylinder),
              "every cylinder has one collector");
    return {};
  }
  return out;
}

std::vector<CollectorGroup> rotating_groups(Section& s, const Engine& engine, int requested) {
  const int collectors = requested > 0 ? requested : static_cast<int>(engine.banks.size());
  const int n = static_cast<int>(engine.firing_order.size());
  if (collectors < 2) {
    s.problem("kind", "swaps tubes between banks, and this engine has one bank",
              "give collectors = 2, or use kind = \"equal-length\"");
    return {};
  }
  if (n % collectors != 0) {
    s.problem(s.has("collectors") ? "collectors" : "kind",
              fmt::format("{} cannot be divided evenly into {}", counted(n, "cylinder"),
                          counted(collectors, "collector")),
              "choose a number of collectors that divides the cylinders, or list groups");
    return {};
  }
  return groups_180_degree(engine, collectors);
}

// Into how many subgroups a collector of n cylinders is split; 0 if the kind does not fit it.
std::size_t subgroups_of(HeaderKind kind, std::size_t n) {
  if (kind == HeaderKind::six_two_one) return n == 6 ? 2 : 0;
  if (kind == HeaderKind::six_three_one) return n == 6 ? 3 : 0;
  if (n < 4 || n % 2 != 0) return 0;
  return kind == HeaderKind::four_two_one ? n / 2 : 2;
}

void split_groups(Section& s, const Engine& engine, HeaderDesign& header) {
  for (CollectorGroup& group : header.groups) {
    const std::size_t n = group.cylinders.size();
    const std::size_t parts = subgroups_of(header.kind, n);
    if (parts == 0) {
      const bool six =
          header.kind == HeaderKind::six_two_one || header.kind == HeaderKind::six_three_one;
      s.problem("kind",
                fmt::format("\"{}\" needs {}; '{}' has {}", kind_name(header.kind),
                            six ? "six cylinders on each collector"
                                : "at least four cylinders on each collector, and an even number",
                            group.name, n),
                "use another kind, or list groups");
      return;
    }
    split_far_apart(engine, group, static_cast<int>(parts));
  }
}

// The cylinders of each secondary as the key lists them, in the firing order of their collector.
void set_secondaries(Section& s, const std::vector<std::vector<int>>& lists, HeaderDesign& header) {
  const auto refuse = [&](const std::string& message, const std::string& advice) {
    s.problem("secondaries", message, advice);
  };
  std::size_t needed = 0;
  for (CollectorGroup& group : header.groups) {
    const std::size_t parts = group.subgroups.size();
    const std::size_t size = group.cylinders.size() / parts;
    needed += parts;
    group.subgroups.clear();
    std::set<int> left(group.cylinders.begin(), group.cylinders.end());
    const std::string members = fmt::format("collector {} has cylinders {}, {} to a secondary",
                                            group.name, fmt::join(group.cylinders, ", "), size);
    for (const std::vector<int>& list : lists) {
      if (list.empty() || left.count(list.front()) == 0) continue;
      std::vector<int> ordered;
      for (const int cylinder : group.cylinders) {
        if (std::find(list.begin(), list.end(), cylinder) != list.end())
          ordered.push_back(cylinder);
      }
      for (const int cylinder : list) {
        if (left.erase(cylinder) > 0) continue;
        refuse(fmt::format("names cylinder {} twice, or beside cylinder {}, whose collector it "
                           "does not share",
                           cylinder, list.front()),
               members);
        return;
      }
      if (list.size() != size) {
        refuse(fmt::format("has {} for a secondary of cylinder {}",
                           counted(list.size(), "cylinder"), list.front()),
               members);
        return;
      }
      group.subgroups.push_back(std::move(ordered));
    }
    if (!left.empty()) {
      refuse(fmt::format("leaves out cylinder {}", *left.begin()), members);
      return;
    }
  }
  if (lists.size() == needed) return;
  refuse(fmt::format("has {} lists, and the header has {} secondaries", lists.size(), needed),
         "write one list for each secondary");
}

// Banks of six each, else all cylinders in one group.
std::vector<CollectorGroup> groups_of_six(const Engine& engine) {
  std::vector<CollectorGroup> banks = groups_by_bank(engine);
  if (engine.firing_order.size() != 6 || banks.size() == 1) return banks;
  return {make_group(engine, "all", engine.firing_order)};
}

}  // namespace

void group_cylinders(Section& s, const Engine& engine, HeaderDesign& header,
                     const GivenGroups& given) {
  const bool six =
      header.kind == HeaderKind::six_two_one || header.kind == HeaderKind::six_three_one;
  if (s.has("groups")) {
    if (s.has("collectors")) {
      s.problem("collectors", "is given beside groups", "keep one of the two");
    }
    header.groups = given_groups(s, engine, given.groups);
  } else if (header.kind == HeaderKind::degree_180) {
    header.groups = rotating_groups(s, engine, given.collectors);
  } else {
    header.groups = six ? groups_of_six(engine) : groups_by_bank(engine);
  }
  const bool divided = header.kind == HeaderKind::divided_collector;
  if (!divided && !has_secondaries(header.kind)) return;
  split_groups(s, engine, header);
  const bool split = std::all_of(header.groups.begin(), header.groups.end(),
                                 [](const auto& group) { return !group.subgroups.empty(); });
  if (split && s.has("secondaries")) set_secondaries(s, given.secondaries, header);
}

}  // namespace pulsewright::cases
