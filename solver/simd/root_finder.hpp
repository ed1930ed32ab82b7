// Root of a rising function within a bracket by a safeguarded Newton method, the same iterations
// for one number or a pack of them.
//
// Newton steps; a step that would leave the bracket is replaced by its midpoint, so the bracket
// only ever shrinks (e.g. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4,
// for the idea).
#pragma once

#include <limits>

#include "solver/simd/math.hpp"

namespace pulsewright::solver {

// What the function returns.
template <class Real>
struct ValueAndSlope {
  Real value;
  Real slope;
};

inline constexpr int root_iterations = 80;  // at most

// f rises, f(low) < 0 < f(high); f(x) returns a ValueAndSlope. Where |f| <= 1e-7 scale one Newton
// step more is taken without evaluating its residual: with scale the size of f over its bracket and
// f smooth, it leaves some 1e-14 of that. Or to the last bits of x.
// Returns NaN, in the lanes concerned, where neither was reached after root_iterations or where f
// is NaN. What is computed from it is NaN as well, and the code that stores the state checks it
// (see state_check.hpp): the run fails with the place, at no cost here.
template <class Real, class Function>
PULSEWRIGHT_INLINE Real root_safeguarded_newton(const Function& f, Real low, Real high,
                                                const Real& guess, const Real& scale) {
  const auto small = [&](const Real& residual) { return abs(residual) <= 1e-7 * scale; };
  Real x = max(low, min(high, guess));
  ValueAndSlope<Real> y = f(x);
  auto open = !small(y.value) && high > low;
  for (int i = 0; i < root_iterations && any(open); ++i) {
    low = select(open && y.value < 0.0, x, low);
    high = select(open && y.value > 0.0, x, high);
    const Real newton = x - y.value / y.slope;
    const auto inside = newton > low && newton < high;
    x = select(open, select(inside, newton, Real(0.5 * (low + high))), x);
    y = f(x);
    open = open && !small(y.value) && (high - low) > 1e-15 * high;
  }
  const Real last = max(low, min(high, Real(x - y.value / y.slope)));
  const Real root = select(y.slope > 0.0, last, x);
  if (any(open)) [[unlikely]] {
    return select(open, Real(std::numeric_limits<double>::quiet_NaN()), root);
  }
  return root;
}

}  // namespace pulsewright::solver
