#include "cases/read_engine.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

#include "cases/case_text.hpp"
#include "cases/counted.hpp"
#include "cases/grouping.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

void check_firing_order(Section& s, const std::vector<int>& order) {
  const int n = static_cast<int>(order.size());
  std::set<int> seen;
  for (const int cylinder : order) {
    if (cylinder > n) {
      s.problem("firing_order",
                fmt::format("names cylinder {}, but has {}", cylinder, counted(n, "cylinder")),
                fmt::format("every cylinder from 1 to {} once", n));
      return;
    }
    if (!seen.insert(cylinder).second) {
      s.problem("firing_order", fmt::format("names cylinder {} twice", cylinder),
                "every cylinder once");
      return;
    }
  }
}

std::vector<double> read_intervals(Section& s, std::size_t cylinders) {
  std::vector<double> intervals = s.quantities("intervals");
  if (!s.has("intervals")) return even_intervals(cylinders);
  double sum = 0;
  for (const double interval : intervals) sum += interval;
  if (intervals.size() != cylinders) {
    s.problem("intervals",
              fmt::format("has {} for {}", counted(intervals.size(), "angle"),
                          counted(cylinders, "cylinder")),
              "give one angle for each cylinder of the firing order");
  } else if (std::abs(sum - 720) > 1e-6) {
    s.problem("intervals", fmt::format("adds up to {:.6g} deg", sum),
              "the angles of one cycle add up to 720 deg");
  }
  return intervals;
}

void check_rod(Section& s, const models::CylinderGeometry& geometry) {
  // Ratios of rod to stroke that engines have, from short-rod truck to long-rod race engine (common
  // practice, no source: 1.4 to 2.2).
  constexpr double least_usual = 1.3;
  constexpr double greatest_usual = 2.6;
  if (!(geometry.rod > geometry.stroke / 2 + std::abs(geometry.pin_offset))) {
    s.problem("rod", "is too short: the crank could not turn",
              "the rod is longer than half the stroke and the pin offset together");
    return;
  }
  if (!(geometry.rod > geometry.stroke)) {
    s.problem("rod",
              fmt::format("is too short: at bottom dead centre the piston pin would be {} from "
                          "the crank's axis, within the circle of {} that the crank pin runs on",
                          s.shown().length(geometry.rod - geometry.stroke / 2),
                          s.shown().length(geometry.stroke / 2)),
              "the rod, between the centres of its eyes, is longer than the stroke");
    return;
  }
  const double ratio = geometry.rod / geometry.stroke;
  if (ratio < least_usual || ratio > greatest_usual) {
    s.remark("rod", fmt::format("is {:.2f} times the stroke; most engines have 1.4 to 2.2", ratio),
             "check rod, between the centres of its eyes, and stroke");
  }
}

void check_intervals(Section& s, const std::vector<double>& intervals) {
  // A quarter of the even one: below what uneven V engines and close-firing twins have (common
  // practice, no source: 70 deg of 180 in a four that fires in pairs).
  constexpr double least_usual = 0.25;
  const double even = 720.0 / static_cast<double>(intervals.size());
  const double least = *std::min_element(intervals.begin(), intervals.end());
  if (least >= least_usual * even) return;
  s.remark(
      "intervals",
      fmt::format("lets cylinders fire {:.6g} deg apart, evenly it were {:.6g} deg", least, even),
      "each angle counts from one cylinder of the firing order to the next");
}

void check_banks(Section& s, const std::vector<Bank>& banks, std::size_t cylinders) {
  std::set<int> seen;
  for (const Bank& bank : banks) {
    for (const int cylinder : bank.cylinders) {
      if (cylinder < 1 || cylinder > static_cast<int>(cylinders)) {
        s.problem("banks",
                  fmt::format("bank {} names cylinder {}, which is not in the firing order",
                              bank.name, cylinder),
                  fmt::format("the engine has cylinders 1 to {}", cylinders));
        return;
      }
      if (!seen.insert(cylinder).second) {
        s.problem("banks", fmt::format("cylinder {} is in the banks twice", cylinder),
                  "every cylinder belongs to one bank");
        return;
      }
    }
  }
  for (int cylinder = 1; cylinder <= static_cast<int>(cylinders); ++cylinder) {
    if (seen.count(cylinder) == 0) {
      s.problem("banks", fmt::format("cylinder {} is in no bank", cylinder),
                "every cylinder belongs to one bank");
      return;
    }
  }
}

std::vector<Bank> read_banks(Section& s, std::size_t cylinders) {
  std::vector<Bank> banks;
  s.entries("banks", [&](const std::string& name, const toml::node& node) {
    if (!good_name(name)) {
      s.problem("banks", fmt::format("'{}' is no good name for a bank", shortened(name)),
                "use letters, digits, spaces and . _ + -, at most 40");
    }
    banks.push_back({name, s.integers_of(node, s.path("banks") + "." + name)});
  });
  if (!s.has("banks")) {
    Bank all{"all", {}};
    for (int i = 1; i <= static_cast<int>(cylinders); ++i) all.cylinders.push_back(i);
    return {all};
  }
  return banks;
}

}  // namespace

Engine read_engine(Section s, Problems& problems) {
  Engine engine;
  models::CylinderGeometry& geometry = engine.geometry;
  geometry.bore = s.quantity("bore");
  geometry.stroke = s.quantity("stroke");
  geometry.rod = s.quantity("rod");
  geometry.pin_offset = s.quantity("pin_offset");
  geometry.compression_ratio = s.number("compression_ratio");
  engine.scavenge_displacement = s.number("scavenge_displacement");
  engine.firing_order = s.integers("firing_order");
  const bool order_read = !problems.any();
  if (order_read) check_firing_order(s, engine.firing_order);
  engine.interval_deg = read_intervals(s, engine.firing_order.size());
  engine.banks = read_banks(s, engine.firing_order.size());
  s.finish();
  if (problems.any()) return engine;
  check_banks(s, engine.banks, engine.firing_order.size());
  check_rod(s, geometry);
  check_intervals(s, engine.interval_deg);
  return engine;
}

}  // namespace pulsewright::cases
