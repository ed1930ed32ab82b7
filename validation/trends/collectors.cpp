// Collectors with even pulse spacing compared with bank-wise collectors on a cross-plane V8.
#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>

#include "models/engine/point_simulation.hpp"
#include "validation/rig/sample_engines.hpp"
#include "validation/trends/trends.hpp"

namespace pulsewright::validation {

namespace {

models::PointResult run_groups(const std::vector<std::vector<int>>& groups, double rpm) {
  models::PointSimulation engine(cross_plane_v8(groups, 0.8, 0.02), rpm / 60, {});
  models::PointResult result = engine.run();
  if (!result.converged) throw std::runtime_error("the cycle did not converge");
  return result;
}

double spread(const models::PointResult& r) {
  double low = 1e9;
  double high = 0;
  for (const auto& c : r.cylinders) {
    low = std::min(low, c.charging_efficiency);
    high = std::max(high, c.charging_efficiency);
  }
  return high - low;
}

}  // namespace

CaseReport even_collectors(Broken broken) {
  CaseReport report;
  report.title = "Evenly spaced collectors and bank-wise collectors on a cross-plane V8";
  report.text =
      "Invented V8 of five litres, firing order 1-8-4-3-6-5-7-2, equal primaries of 0.8 m, cells "
      "of 20 mm. By banks the pulses reach a collector 270-180-90-180 deg apart, with tubes "
      "crossed between the banks (180-degree header) every 180 deg.";
  const Source trade{
      "even-interval collectors scavenge better and fill the cylinders equally: trade press",
      Confidence::common_practice};
  Plot plot{"charging efficiency of the cylinders, 6000 rpm",
            "cylinder",
            "",
            {{"banks", {}, {}, true}, {"crossed", {}, {}, true}}};
  for (const double rpm : {5000.0, 6000.0, 7000.0}) {
    const auto uneven = run_groups(banks, rpm);
    const auto even = run_groups(broken == Broken::tuning ? banks : crossed, rpm);
    const auto add = [&](const char* quantity, double expected, double computed, double tolerance,
                         const char* why, const Source& source, Sense sense = Sense::equal) {
      report.figures.push_back({fmt::format("{:.0f} rpm: {}", rpm, quantity), "", expected,
                                computed, tolerance, false, why, source, sense});
    };
    add("spread of charging efficiency, crossed", 0, spread(even), 1e-3,
        "the cycle converges within 0.1 %; equal tubes at equal intervals allow equal filling and "
        "do "
        "not force it",
        trade);
    add("firings after which the pattern of the crossed header repeats", 1, even.pattern_firings, 0,
        "all eight cylinders settle alike at this speed", trade);
    add("cylinders that are the same by symmetry, crossed header", 8, even.same_cylinders, 0,
        "one turn of 90 deg takes each to the next of the firing order",
        Source{"firing order 1-8-4-3-6-5-7-2 and the "
               "groups of the collectors",
               Confidence::computed});
    add("spread of charging efficiency, crossed over banks", 0.1, spread(even) / spread(uneven), 0,
        "chosen here: a tenth at most", trade, Sense::at_most);
    add("residual fraction of the crossed header over that of the bank-wise one", 1,
        even.residual_fraction / uneven.residual_fraction, 0, "less residual gas", trade,
        Sense::at_most);
    if (rpm == 6000) {
      for (const auto& [r, k] : {std::pair{&uneven, 0}, std::pair{&even, 1}}) {
        for (const auto& c : r->cylinders) {
          plot.curves[static_cast<std::size_t>(k)].x.push_back(c.number);
          plot.curves[static_cast<std::size_t>(k)].y.push_back(c.charging_efficiency);
        }
      }
    }
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
