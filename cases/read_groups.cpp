#include "cases/read_groups.hpp"

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

void split_groups(Section& s, const Engine& engine, HeaderDesign& header) {
  for (CollectorGroup& group : header.groups) {
    const std::size_t n = group.cylinders.size();
    if (n < 4 || n % 2 != 0) {
      s.problem("kind",
                fmt::format("\"{}\" needs at least four cylinders on each collector, and an "
                            "even number; '{}' has {}",
                            kind_name(header.kind), group.name, n),
                "use another kind, or list groups");
      return;
    }
    const int parts = header.kind == HeaderKind::four_two_one ? static_cast<int>(n / 2) : 2;
    split_far_apart(engine, group, parts);
  }
}

}  // namespace

void group_cylinders(Section& s, const Engine& engine, HeaderDesign& header,
                     const std::vector<std::vector<int>>& lists, int collectors) {
  if (s.has("groups")) {
    if (s.has("collectors")) {
      s.problem("collectors", "is given beside groups", "keep one of the two");
    }
    header.groups = given_groups(s, engine, lists);
  } else if (header.kind == HeaderKind::degree_180) {
    header.groups = rotating_groups(s, engine, collectors);
  } else {
    header.groups = groups_by_bank(engine);
  }
  if (header.kind == HeaderKind::four_two_one || header.kind == HeaderKind::divided_collector) {
    split_groups(s, engine, header);
  }
}

}  // namespace pulsewright::cases
