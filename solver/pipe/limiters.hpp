// Slope limiters. Each takes the differences to the left and to the right neighbour and returns
// the limited difference over one cell. All are symmetric: slope(a, b) = slope(b, a) and
// slope(-a, -b) = -slope(a, b), exactly.
//
// Sources: van Leer, J. Comput. Phys. 23 (1977) 276 (monotonized central); van Leer, J. Comput.
// Phys. 14 (1974) 361; Toro (2009), section 13.7 (minmod).
#pragma once

#include "solver/simd/math.hpp"

namespace pulsewright::solver {

struct LimiterMonotonizedCentral {
  template <class Real>
  PULSEWRIGHT_INLINE static Real slope(const Real& a, const Real& b) {
    const Real mean = 0.5 * (a + b);
    const Real bound = 2.0 * min(abs(a), abs(b));
    const Real s = max(-bound, min(mean, bound));
    return select(a * b > 0.0, s, Real(0.0));
  }
};

struct LimiterMinmod {
  template <class Real>
  PULSEWRIGHT_INLINE static Real slope(const Real& a, const Real& b) {
    return select(a * b > 0.0, select(abs(a) < abs(b), a, b), Real(0.0));
  }
};

struct LimiterVanLeer {
  template <class Real>
  PULSEWRIGHT_INLINE static Real slope(const Real& a, const Real& b) {
    const Real product = a * b;
    const Real positive = max(product, Real(0.0));
    return select(product > 0.0, 2.0 * positive / (a + b), Real(0.0));
  }
};

// First order.
struct LimiterFlat {
  template <class Real>
  PULSEWRIGHT_INLINE static Real slope(const Real&, const Real&) {
    return Real(0.0);
  }
};

}  // namespace pulsewright::solver
