#include "cases/grouping.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>

#include "models/boundary/crank_angle.hpp"

namespace pulsewright::cases {
namespace {

// Angles of given intervals are read from text; equal ones may differ in the last digits.
constexpr double same_angle = 1e-6;

double angle_in_order(const Engine& engine, int cylinder) {
  double angle = 0;
  for (std::size_t i = 0; i < engine.firing_order.size(); ++i) {
    if (engine.firing_order[i] == cylinder) return angle;
    angle += engine.interval_deg[i];
  }
  throw std::invalid_argument(fmt::format("cylinder {} is not in the firing order", cylinder));
}

// The shorter way round the cycle between two cylinders.
double separation(const Engine& engine, int a, int b) {
  const double gap = std::abs(angle_in_order(engine, a) - angle_in_order(engine, b));
  return std::min(gap, models::cycle_angle - gap);
}

struct Split {
  std::vector<std::vector<int>> subgroups;
  double smallest = -1;
  double sum = -1;
};

class Splitter {
 public:
  Splitter(const Engine& engine, const std::vector<int>& cylinders, std::size_t size)
      : engine_(engine), cylinders_(cylinders), size_(size), used_(cylinders.size(), false) {
    begin_subgroup();
  }
  const Split& best() const { return best_; }

 private:
  double smallest_gap(const std::vector<int>& subgroup) const {
    double least = models::cycle_angle;
    for (std::size_t i = 0; i < subgroup.size(); ++i) {
      for (std::size_t j = i + 1; j < subgroup.size(); ++j) {
        least = std::min(least, separation(engine_, subgroup[i], subgroup[j]));
      }
    }
    return least;
  }

  void judge() {
    double smallest = models::cycle_angle;
    double sum = 0;
    for (const auto& subgroup : subgroups_) {
      const double gap = smallest_gap(subgroup);
      smallest = std::min(smallest, gap);
      sum += gap;
    }
    const bool better = smallest > best_.smallest + same_angle ||
                        (smallest > best_.smallest - same_angle && sum > best_.sum + same_angle);
    if (better) best_ = Split{subgroups_, smallest, sum};
  }

  // The first cylinder that has no subgroup begins one, which fixes the order of the subgroups.
  void begin_subgroup() {
    const auto first = std::find(used_.begin(), used_.end(), false);
    if (first == used_.end()) {
      judge();
      return;
    }
    const auto index = static_cast<std::size_t>(first - used_.begin());
    used_[index] = true;
    subgroups_.push_back({cylinders_[index]});
    fill(index + 1);
    subgroups_.pop_back();
    used_[index] = false;
  }

  void fill(std::size_t from) {
    if (subgroups_.back().size() == size_) {
      begin_subgroup();
      return;
    }
    for (std::size_t i = from; i < cylinders_.size(); ++i) {
      if (used_[i]) continue;
      used_[i] = true;
      subgroups_.back().push_back(cylinders_[i]);
      fill(i + 1);
      subgroups_.back().pop_back();
      used_[i] = false;
    }
  }

  const Engine& engine_;
  const std::vector<int>& cylinders_;
  std::size_t size_;
  std::vector<bool> used_;
  std::vector<std::vector<int>> subgroups_;
  Split best_;
};

}  // namespace

std::vector<double> even_intervals(std::size_t cylinders) {
  return std::vector<double>(cylinders, models::cycle_angle / static_cast<double>(cylinders));
}

double firing_angle(const Engine& engine, int cylinder) {
  return models::fold(angle_in_order(engine, cylinder) - angle_in_order(engine, 1));
}

CollectorGroup make_group(const Engine& engine, std::string name,
                          const std::vector<int>& cylinders) {
  CollectorGroup group;
  group.name = std::move(name);
  group.cylinders = cylinders;
  std::sort(group.cylinders.begin(), group.cylinders.end(),
            [&](int a, int b) { return angle_in_order(engine, a) < angle_in_order(engine, b); });
  const std::size_t n = group.cylinders.size();
  for (std::size_t i = 0; i < n; ++i) {
    const double here = angle_in_order(engine, group.cylinders[i]);
    const double next = angle_in_order(engine, group.cylinders[(i + 1) % n]);
    group.interval_deg.push_back(i + 1 < n ? next - here : next - here + models::cycle_angle);
    group.collector_position.push_back(static_cast<int>(i) + 1);
  }
  return group;
}

std::vector<CollectorGroup> groups_by_bank(const Engine& engine) {
  std::vector<CollectorGroup> out;
  for (const Bank& bank : engine.banks)
    out.push_back(make_group(engine, bank.name, bank.cylinders));
  return out;
}

std::vector<CollectorGroup> groups_180_degree(const Engine& engine, int collectors) {
  const std::size_t n = engine.firing_order.size();
  if (collectors < 1 || n % static_cast<std::size_t>(collectors) != 0) {
    throw std::invalid_argument(
        fmt::format("{} cylinders do not divide evenly into {} collectors", n, collectors));
  }
  std::vector<CollectorGroup> out;
  const auto count = static_cast<std::size_t>(collectors);
  for (std::size_t k = 0; k < count; ++k) {
    std::vector<int> cylinders;
    for (std::size_t i = k; i < n; i += count) cylinders.push_back(engine.firing_order[i]);
    out.push_back(make_group(engine, std::string(1, static_cast<char>('A' + k)), cylinders));
  }
  return out;
}

void split_far_apart(const Engine& engine, CollectorGroup& group, int subgroups) {
  const std::size_t n = group.cylinders.size();
  if (subgroups < 1 || n == 0 || n % static_cast<std::size_t>(subgroups) != 0) {
    throw std::invalid_argument(
        fmt::format("{} cylinders do not divide evenly into {} parts", n, subgroups));
  }
  const Splitter splitter(engine, group.cylinders, n / static_cast<std::size_t>(subgroups));
  group.subgroups = splitter.best().subgroups;
  int position = 1;
  for (const auto& subgroup : group.subgroups) {
    for (const int cylinder : subgroup) {
      const auto found = std::find(group.cylinders.begin(), group.cylinders.end(), cylinder);
      group.collector_position[static_cast<std::size_t>(found - group.cylinders.begin())] =
          position++;
    }
  }
}

int leading_of_close_pair(const CollectorGroup& group) {
  if (group.cylinders.size() < 2) return -1;
  const auto [least, most] =
      std::minmax_element(group.interval_deg.begin(), group.interval_deg.end());
  if (*most - *least < same_angle) return -1;
  return static_cast<int>(least - group.interval_deg.begin());
}

std::vector<double> stepped_lengths(const CollectorGroup& group, double shortest, double longest) {
  const int leading = leading_of_close_pair(group);
  if (leading < 0) {
    throw std::invalid_argument(
        fmt::format("no two cylinders of '{}' fire closer than the others", group.name));
  }
  const std::size_t n = group.cylinders.size();
  std::vector<double> out(n);
  const double step = (longest - shortest) / static_cast<double>(n - 1);
  for (std::size_t i = 0; i < n; ++i) {
    // i = 0 is the trailing cylinder of the pair, i = n - 1 the leading one.
    const std::size_t index = (static_cast<std::size_t>(leading) + 1 + i) % n;
    out[index] = longest - step * static_cast<double>(i);
  }
  out[static_cast<std::size_t>(leading)] = shortest;
  return out;
}

}  // namespace pulsewright::cases
