#include "validation/trends/tuned_single.hpp"

#include <algorithm>
#include <stdexcept>

#include "validation/rig/sample_engines.hpp"

namespace pulsewright::validation {

models::PointResult TunedSingle::run(double rpm) const {
  models::EngineSpecification e = single_cylinder(length, 0.02);
  e.pipes[0].length = 0.06;
  e.pipes[0].cell_size = 0.01;
  // The bore of the port in the head does not change.
  constexpr double port = 0.0443;
  if (diameter != port) e.pipes[1].profile = {{0.0, port}, {0.075, port}, {0.09, diameter}};
  e.exhaust_valve.opens_deg = exhaust_opens;
  e.exhaust_valve.lift = sine_lobe(exhaust_opens, exhaust_closes, 0.0135);
  e.intake_valve.opens_deg = intake_opens;
  e.intake_valve.lift = sine_lobe(intake_opens, e.intake_valve.closes_deg, 0.014);
  if (!reflecting) {
    e.open_ends.erase(e.open_ends.begin() + 1);
    e.anechoic_ends.push_back({{1, models::Side::right}});
  }
  models::PointSimulation engine(e, rpm / 60, {});
  models::PointResult result = engine.run();
  if (!result.converged) throw std::runtime_error("the cycle did not converge");
  return result;
}

double tuning_gain(TunedSingle engine, double rpm, Broken broken) {
  engine.reflecting = false;
  const double without = engine.run(rpm).charging_efficiency;
  engine.reflecting = broken != Broken::tuning;
  return engine.run(rpm).charging_efficiency - without;
}

double peak_of(const Sweep& sweep) {
  const auto& y = sweep.value;
  const auto i = static_cast<std::size_t>(std::max_element(y.begin(), y.end()) - y.begin());
  if (i == 0 || i + 1 == y.size()) throw std::runtime_error("the peak is outside the sweep");
  const double below = y[i] - y[i - 1];
  const double above = y[i + 1] - y[i];
  return sweep.rpm[i] + 0.5 * (sweep.rpm[i + 1] - sweep.rpm[i]) * (below + above) / (below - above);
}

Curve curve_of(const std::string& name, const Sweep& sweep) {
  return {name, sweep.rpm, sweep.value};
}

}  // namespace pulsewright::validation
