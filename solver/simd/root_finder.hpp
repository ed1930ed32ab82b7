// Root of a rising function within a bracket, the same steps for one number or a pack of them.
//
// Newton steps; a step that would leave the bracket is replaced by its midpoint, so the bracket
// only ever shrinks (e.g. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4,
// for the idea).
#pragma once

#include "solver/simd/number.hpp"

namespace pulsewright::solver {

// What the function returns.
template <class Real>
struct ValueAndSlope {
  Real value;
  Real slope;
};

// f rises, f(low) < 0 < f(high); f(x) returns a ValueAndSlope. Where |f| <= 1e-7 scale one Newton
// step more is taken unseen: with scale the size of f over its bracket and f smooth, it leaves some
// 1e-14 of that. Or to the last bits of x.
template <class Real, class Function>
PULSEWRIGHT_INLINE Real root_safeguarded_newton(const Function& f, Real low, Real high,
                                                const Real& guess, const Real& scale) {
  const auto seen = [&](const Real& value) { return abs(value) <= 1e-7 * scale; };
  Real x = max(low, min(high, guess));
  ValueAndSlope<Real> y = f(x);
  auto open = !seen(y.value) && high > low;
  for (int i = 0; i < 80 && any(open); ++i) {
    low = select(open && y.value < 0.0, x, low);
    high = select(open && y.value > 0.0, x, high);
    const Real straight = x - y.value / y.slope;
    const auto inside = straight > low && straight < high;
    x = select(open, select(inside, straight, Real(0.5 * (low + high))), x);
    y = f(x);
    open = open && !seen(y.value) && (high - low) > 1e-15 * high;
  }
  const Real last = max(low, min(high, Real(x - y.value / y.slope)));
  return select(y.slope > 0.0, last, x);
}

}  // namespace pulsewright::solver
