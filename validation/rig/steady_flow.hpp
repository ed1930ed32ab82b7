// Steady flow of an ideal gas: the relations of the tables, and a pipe run until it is steady.
//
// Isentropic, normal-shock, Fanno and Rayleigh relations: NACA Report 1135 (1953), eqs (43)-(100);
// Shapiro (1953).
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>

#include "validation/rig/tube.hpp"

namespace pulsewright::validation {

inline double temperature_ratio(double M, double g) {  // T/T0
  return 1.0 / (1.0 + 0.5 * (g - 1.0) * M * M);
}
inline double pressure_ratio(double M, double g) {  // p/p0
  return std::pow(temperature_ratio(M, g), g / (g - 1.0));
}
inline double area_ratio(double M, double g) {  // A/A*
  return std::pow((2.0 / (g + 1.0)) / temperature_ratio(M, g), 0.5 * (g + 1.0) / (g - 1.0)) / M;
}

// M in [low, high] where the rising or falling function takes the value.
inline double mach_of(const std::function<double(double)>& function, double value, double low,
                      double high) {
  const bool rises = function(high) > function(low);
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    ((function(middle) < value) == rises ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

inline double mach(const Primitive<double>& w, double g) {
  return w.u / std::sqrt(g * w.p / w.rho);
}
// Stagnation pressure, Pa.
inline double stagnation(const Primitive<double>& w, double g) {
  return w.p / pressure_ratio(mach(w, g), g);
}

inline void fill_still(Pipe& d, const Gas& gas, double p, double T) {
  d.fill(gas, [&](double) {
    return Primitive<double>{p / (gas.gas_constant(0.0) * T), 0.0, p, 0.0};
  });
}

// Runs until the relative change of density over a hundred steps is below the limit. Throws
// std::runtime_error when it does not get there.
template <class Limiter>
void run_to_steady_state(Pipe& d, const Gas& gas, const std::function<void(Pipe&)>& ends,
                         double limit, long most_steps) {
  for (long steps = 0; steps < most_steps; steps += 100) {
    const solver::CellArray before = d.rho;
    run<solver::FluxHllc, Limiter>(d, gas, 1e9, ends, 0.8, 100);
    double change = 0;
    for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(d.cells()); ++i) {
      change = std::max(change, std::abs(d.rho[i] / before[i] - 1.0));
    }
    if (change < limit) return;
  }
  throw std::runtime_error("the flow did not become steady");
}

}  // namespace pulsewright::validation
