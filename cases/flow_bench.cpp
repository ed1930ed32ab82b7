#include "cases/flow_bench.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace pulsewright::cases {
namespace {

constexpr double critical_ratio = 0.52828178;  // (2 / (gamma + 1))^(gamma / (gamma - 1))

}  // namespace

double ideal_mass_flux(const BenchState& bench) {
  const double r = 1 - bench.depression / bench.pressure;
  if (!(bench.depression > 0) || !(r > critical_ratio)) {
    throw std::invalid_argument("the depression of a flow bench must be above zero and subsonic");
  }
  const double term = std::pow(r, 2 / air_gamma) - std::pow(r, (air_gamma + 1) / air_gamma);
  return bench.pressure / std::sqrt(air_gas_constant * bench.temperature) *
         std::sqrt(2 * air_gamma / (air_gamma - 1) * term);
}

double bench_mass_flow(const BenchState& bench, double volume_flow) {
  return volume_flow * bench.pressure / (air_gas_constant * bench.temperature);
}

double ideal_volume_flux(const BenchState& bench) {
  return ideal_mass_flux(bench) / bench_mass_flow(bench, 1);
}

double effective_area(const BenchState& bench, double volume_flow) {
  return volume_flow / ideal_volume_flux(bench);
}

models::FlowCurve flow_curve(const BenchState& bench, const std::vector<double>& lift,
                             const std::vector<double>& volume_flow, int count) {
  if (lift.size() != volume_flow.size() || lift.empty() || count < 1) {
    throw std::invalid_argument("a flow curve needs as many flows as lifts and at least one valve");
  }
  models::FlowCurve curve;
  if (lift.front() > 0) {
    curve.lift.push_back(0);
    curve.area.push_back(0);
  }
  for (std::size_t i = 0; i < lift.size(); ++i) {
    curve.lift.push_back(lift[i]);
    curve.area.push_back(effective_area(bench, volume_flow[i]) / count);
  }
  return curve;
}

models::FlowCurve typical_flow_curve(double seat_diameter, double lift, double area) {
  // At steps of 0.05 of lift / diameter: discharge coefficient times curtain area over the area of
  // the bore; level beyond 0.4.
  constexpr double step = 0.05;
  constexpr std::array shape{0.0, 0.136, 0.272, 0.396, 0.504, 0.58, 0.624, 0.65, 0.66};
  const auto at = [&](double ratio) {
    const auto i = static_cast<std::size_t>(ratio / step);
    if (i + 1 >= shape.size()) return shape.back();
    return shape[i] + (ratio / step - static_cast<double>(i)) * (shape[i + 1] - shape[i]);
  };
  const double scale = area / at(lift / seat_diameter);
  models::FlowCurve curve;
  for (std::size_t i = 0; i < shape.size(); ++i) {
    const double here = static_cast<double>(i) * step * seat_diameter;
    if (here >= lift) break;
    curve.lift.push_back(here);
    curve.area.push_back(std::min(scale * shape[i], curtain_area(seat_diameter, here)));
  }
  curve.lift.push_back(lift);
  curve.area.push_back(area);
  return curve;
}

double curtain_area(double seat_diameter, double lift) {
  return std::numbers::pi * seat_diameter * lift;
}

double seat_area(double seat_diameter, double stem_diameter) {
  return std::numbers::pi / 4 * (seat_diameter * seat_diameter - stem_diameter * stem_diameter);
}

}  // namespace pulsewright::cases
