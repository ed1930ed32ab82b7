// Distance of a computed figure from its value on an infinitely fine grid.
//
// Three grids (or time steps), each finer by the ratio r than the one before:
//   p = ln((f3 - f2)/(f2 - f1)) / ln r,  f0 = f1 + (f1 - f2)/(r^p - 1)
//   GCI of f1 = Fs |f1 - f2| / (r^p - 1),  Fs = 1.25
// Roache, J. Fluids Eng. 116 (1994) 405; Roache (1998). When the differences change sign,
// grow, or shrink with an order below 1/2, no order is observed: Fs = 3 on the difference of the
// two finest, his factor for two grids, with the order 1.
#pragma once

#include <cmath>
#include <limits>

namespace pulsewright::validation {

struct GridConvergence {
  bool monotone = false;
  double order = std::numeric_limits<double>::quiet_NaN();
  double extrapolated = 0;  // f0; f1 when no order is observed
  double uncertainty = 0;   // GCI of the finest grid, in the unit of f
  double middle = 0;        // GCI of the middle grid
  // Middle GCI / (r^p finest GCI), in relative terms: 1 in the asymptotic range.
  double range = std::numeric_limits<double>::quiet_NaN();
};

// f1 finest, f3 coarsest; ratio > 1.
inline GridConvergence grid_convergence(double f1, double f2, double f3, double ratio) {
  GridConvergence g;
  const double fine = f2 - f1;
  const double coarse = f3 - f2;
  g.monotone = fine * coarse > 0 && std::abs(coarse) > std::sqrt(ratio) * std::abs(fine);
  if (!g.monotone) {
    g.extrapolated = f1;
    g.uncertainty = 3 * std::abs(fine) / (ratio - 1);
    g.middle = 3 * std::abs(coarse) / (ratio - 1);
    return g;
  }
  const double growth = coarse / fine;  // r^p
  g.order = std::log(growth) / std::log(ratio);
  g.extrapolated = f1 - fine / (growth - 1);
  g.uncertainty = 1.25 * std::abs(fine) / (growth - 1);
  g.middle = 1.25 * std::abs(coarse) / (growth - 1);
  g.range = (g.middle / std::abs(f2)) / (growth * g.uncertainty / std::abs(f1));
  return g;
}

}  // namespace pulsewright::validation
