// Root of a rising function within a bracket, the same steps for one number or a pack of them.
//
// Secant steps from a guess and an estimate of the slope; a step that would leave the bracket is
// replaced by its midpoint, so the bracket only ever shrinks (e.g. Brent, Algorithms for
// Minimization without Derivatives (1973), chapter 4, for the idea).
#pragma once

#include "solver/number.hpp"

namespace pulsewright::solver {

// f rises, f(low) < 0 < f(high). The root to |f| <= 1e-12 scale or to the last bits of x. The last
// call of f is at the root that is returned, in every lane.
template <class Real, class Function>
PULSEWRIGHT_INLINE Real rising_root(const Function& f, Real low, Real high, const Real& guess,
                                    const Real& slope_guess, const Real& scale) {
  Real x = max(low, min(high, guess));
  Real value = f(x);
  Real slope = slope_guess;
  auto open = abs(value) > 1e-12 * scale && high > low;
  for (int i = 0; i < 80 && any(open); ++i) {
    low = select(open && value < 0.0, x, low);
    high = select(open && value > 0.0, x, high);
    const Real secant = x - value / slope;
    const auto inside = secant > low && secant < high;
    const Real next = select(open, select(inside, secant, Real(0.5 * (low + high))), x);
    const Real next_value = f(next);
    const Real new_slope = (next_value - value) / (next - x);
    slope = select(new_slope > 0.0, new_slope, slope);
    x = next;
    value = next_value;
    open = open && abs(value) > 1e-12 * scale && (high - low) > 1e-15 * high;
  }
  return x;
}

}  // namespace pulsewright::solver
