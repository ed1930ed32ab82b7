// A poppet valve: lift against crank angle, effective area against lift.
//
// Effective area = discharge coefficient times reference area, from a flow bench; it is assumed
// independent of the pressure ratio (flow benches work at one small depression; for exhaust valves
// at high pressure ratios the true coefficient is somewhat higher: Blair, Callender & Mackey, SAE
// 2001-01-1798). Linear between table points; beyond the last lift the last area holds.
#pragma once

#include <algorithm>

#include "models/boundary/crank_angle.hpp"
#include "models/boundary/specification.hpp"

namespace pulsewright::models {

namespace detail {
// Linear interpolation in a strictly increasing table; end values beyond it.
inline double interpolate(const std::vector<double>& x, const std::vector<double>& y, double at) {
  if (x.empty()) return 0;
  if (at <= x.front()) return y.front();
  if (at >= x.back()) return y.back();
  // Most tables have nearly even steps.
  const double position =
      (at - x.front()) / (x.back() - x.front()) * static_cast<double>(x.size() - 1);
  std::size_t i = std::min(static_cast<std::size_t>(position) + 1, x.size() - 1);
  while (at >= x[i]) ++i;
  while (at < x[i - 1]) --i;
  const double t = (at - x[i - 1]) / (x[i] - x[i - 1]);
  return y[i - 1] + t * (y[i] - y[i - 1]);
}
}  // namespace detail

class PoppetValve {
 public:
  explicit PoppetValve(const ValveSpecification& spec) : spec_(spec) {}

  // angle: deg of the cylinder, any value; lift in m.
  double lift(double angle) const {
    const double a = fold_from(angle, spec_.opens_deg);
    if (a >= spec_.closes_deg) return 0;
    return std::max(0.0, detail::interpolate(spec_.lift.angle_deg, spec_.lift.lift, a));
  }
  // Effective area of all valves of the cylinder, m2.
  double area_forward(double lift) const {
    return spec_.count * detail::interpolate(spec_.forward.lift, spec_.forward.area, lift);
  }
  double area_reverse(double lift) const {
    return spec_.count * detail::interpolate(spec_.reverse.lift, spec_.reverse.area, lift);
  }
  // Greatest effective area in either direction, m2.
  double widest() const {
    double area = 0;
    for (const auto* curve : {&spec_.forward, &spec_.reverse}) {
      for (const double a : curve->area) area = std::max(area, a * spec_.count);
    }
    return area;
  }

 private:
  ValveSpecification spec_;
};

}  // namespace pulsewright::models
