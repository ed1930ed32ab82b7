// Root of a rising function within a bracket, the same steps for one number or a pack of them.
//
// False position with the Illinois rule (Dowell & Jarratt, BIT 11 (1971) 168): the bracket never
// opens, convergence is superlinear.
#pragma once

#include "solver/number.hpp"

namespace pulsewright::solver {

// f rises from low to high. Returns low where f(low) >= 0, high where f(high) <= 0, else the root
// to |f| <= 1e-12 scale or to the last bits of x.
template <class Real, class Function>
inline Real rising_root(const Function& f, Real low, Real high, const Real& scale) {
  Real f_low = f(low);
  Real f_high = f(high);
  Real x = select(f_low >= 0.0, low, high);
  auto open = f_low < 0.0 && f_high > 0.0;
  Real last_side = Real(0.0);  // -1: the low end moved last, +1: the high end
  for (int i = 0; i < 60 && any(open); ++i) {
    const Real guess = (low * f_high - high * f_low) / (f_high - f_low);
    const Real middle = max(low, min(high, guess));
    const Real value = f(middle);
    x = select(open, middle, x);
    const auto below = value < 0.0;
    const auto again_low = below && last_side < 0.0;
    const auto again_high = !below && last_side > 0.0;
    f_high = select(below, select(again_low, Real(0.5 * f_high), f_high), value);
    f_low = select(below, value, select(again_high, Real(0.5 * f_low), f_low));
    low = select(below, middle, low);
    high = select(below, high, middle);
    last_side = select(below, Real(-1.0), Real(1.0));
    open = open && abs(value) > 1e-12 * scale && (high - low) > 1e-15 * high;
  }
  return x;
}

}  // namespace pulsewright::solver
