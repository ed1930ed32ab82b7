// One invented cylinder of 0.625 litres whose intake is too short to be tuned, with one exhaust
// pipe.
#pragma once

#include <vector>

#include "models/engine/point_simulation.hpp"
#include "validation/case.hpp"

namespace pulsewright::validation {

struct TunedSingle {
  double length = 0.8;         // m, of the exhaust pipe from the valve
  double diameter = 0.0443;    // m
  double exhaust_opens = 102;  // deg
  double intake_opens = 324;   // deg
  bool reflecting = true;      // false: anechoic end

  static constexpr double exhaust_closes = 394;  // deg
  // Simulates one speed, rpm. Throws std::runtime_error when the cycle does not converge.
  models::PointResult run(double rpm) const;
};

// Gain of charging efficiency by the reflection at the pipe's end.
double tuning_gain(TunedSingle engine, double rpm, Broken broken);

// A figure over speed (rpm) and its peak.
struct Sweep {
  std::vector<double> rpm, value;
};
template <class Function>
Sweep sweep_of(double from, double to, double step, const Function& function) {
  Sweep sweep;
  for (double n = from; n <= to + 1e-6; n += step) {
    sweep.rpm.push_back(n);
    sweep.value.push_back(function(n));
  }
  return sweep;
}
// Vertex of the parabola through the greatest value and its neighbours. Throws std::runtime_error
// when the greatest value is at an end of the sweep.
double peak_of(const Sweep& sweep);
Curve curve_of(const std::string& name, const Sweep& sweep);

}  // namespace pulsewright::validation
