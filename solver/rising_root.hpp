// Root of a rising function within a bracket, the same steps for one number or a pack of them.
//
// Newton steps where the function tells its slope, else secant steps from an estimate of it; a step
// that would leave the bracket is replaced by its midpoint, so the bracket only ever shrinks (e.g.
// Brent, Algorithms for Minimization without Derivatives (1973), chapter 4, for the idea).
#pragma once

#include <type_traits>

#include "solver/number.hpp"

namespace pulsewright::solver {

// What a function of one variable that knows its derivative returns.
template <class Real>
struct ValueAndSlope {
  Real value;
  Real slope;
};

// f rises, f(low) < 0 < f(high); f(x) returns a Real or a ValueAndSlope. The root to
// |f| <= 1e-12 scale or to the last bits of x. The last call of f is at the root that is returned,
// in every lane. slope_guess counts where f does not tell its slope.
template <class Real, class Function>
PULSEWRIGHT_INLINE Real rising_root(const Function& f, Real low, Real high, const Real& guess,
                                    const Real& slope_guess, const Real& scale) {
  constexpr bool tells_slope =
      std::is_same_v<std::invoke_result_t<Function, Real>, ValueAndSlope<Real>>;
  Real x = max(low, min(high, guess));
  Real slope = slope_guess;
  const auto evaluate = [&](const Real& at) {
    if constexpr (tells_slope) {
      const ValueAndSlope<Real> y = f(at);
      slope = y.slope;
      return y.value;
    } else {
      return f(at);
    }
  };
  Real value = evaluate(x);
  auto open = abs(value) > 1e-12 * scale && high > low;
  for (int i = 0; i < 80 && any(open); ++i) {
    low = select(open && value < 0.0, x, low);
    high = select(open && value > 0.0, x, high);
    const Real straight = x - value / slope;
    const auto inside = straight > low && straight < high;
    const Real next = select(open, select(inside, straight, Real(0.5 * (low + high))), x);
    const Real next_value = evaluate(next);
    if constexpr (!tells_slope) {
      const Real new_slope = (next_value - value) / (next - x);
      slope = select(new_slope > 0.0, new_slope, slope);
    }
    x = next;
    value = next_value;
    open = open && abs(value) > 1e-12 * scale && (high - low) > 1e-15 * high;
  }
  return x;
}

}  // namespace pulsewright::solver
