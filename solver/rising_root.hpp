// Root of a rising function within a bracket, the same steps for one number or a pack of them.
//
// Newton steps; a step that would leave the bracket is replaced by its midpoint, so the bracket
// only ever shrinks (e.g. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4,
// for the idea).
#pragma once

#include "solver/number.hpp"

namespace pulsewright::solver {

// What the function returns.
template <class Real>
struct ValueAndSlope {
  Real value;
  Real slope;
};

// f rises, f(low) < 0 < f(high); f(x) returns a ValueAndSlope. The root to |f| <= 1e-12 scale or to
// the last bits of x. The last call of f is at the root that is returned, in every lane.
template <class Real, class Function>
PULSEWRIGHT_INLINE Real rising_root(const Function& f, Real low, Real high, const Real& guess,
                                    const Real& scale) {
  Real x = max(low, min(high, guess));
  ValueAndSlope<Real> y = f(x);
  auto open = abs(y.value) > 1e-12 * scale && high > low;
  for (int i = 0; i < 80 && any(open); ++i) {
    low = select(open && y.value < 0.0, x, low);
    high = select(open && y.value > 0.0, x, high);
    const Real straight = x - y.value / y.slope;
    const auto inside = straight > low && straight < high;
    x = select(open, select(inside, straight, Real(0.5 * (low + high))), x);
    y = f(x);
    open = open && abs(y.value) > 1e-12 * scale && (high - low) > 1e-15 * high;
  }
  return x;
}

}  // namespace pulsewright::solver
