// Whether the states of a step are states of a gas, and the greatest wave speed among them, from
// which the next time step follows.
#pragma once

#include "solver/simd/math.hpp"

namespace pulsewright::solver {

// Valid: density and temperature positive and wave speed below this; NaN is not valid.
inline constexpr double greatest_credible_speed = 1e5;  // m/s

struct StateCheck {
  double fastest = 0;  // m/s, greatest |u| + c
  bool bad = false;    // a state is not valid
};

// The same while states are added.
template <class Real>
struct StateChecks {
  Real fastest = 0.0;
  decltype(Real() > Real()) bad = Real(0.0) > Real(0.0);

  // rho in kg/m3, T in K, speed = |u| + c in m/s.
  PULSEWRIGHT_INLINE void add(const Real& rho, const Real& T, const Real& speed) {
    // written so that a NaN counts as bad
    bad = bad || !(rho > 0.0) || !(T > 0.0) || !(speed < greatest_credible_speed);
    fastest = max(fastest, speed);
  }
  PULSEWRIGHT_INLINE StateCheck sum() const { return {largest(fastest), any(bad)}; }
};

}  // namespace pulsewright::solver
