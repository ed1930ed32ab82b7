// The number types that the arithmetic of the solver is written for.
//
// Every formula of a cell, an end, a valve or a junction is a template on the number type Real, so
// that it serves a plain double, a pack of doubles (one cell or one operating point per lane) and
// a type that counts operations. Such code uses select() for choices by value, never if.
// Packs come from std::experimental::simd (ISO/IEC TS 19570:2018, Parallelism 2).
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <experimental/simd>
#include <limits>
#include <type_traits>

// The arithmetic of a cell must end up in one loop body: left to itself the compiler keeps the
// pieces apart and passes packs through memory.
#define PULSEWRIGHT_INLINE [[gnu::always_inline]] inline

namespace pulsewright::solver {

namespace simd = std::experimental;
using Pack = simd::native_simd<double>;

template <class Real>
inline constexpr std::size_t lanes = 1;
template <class T, class Abi>
inline constexpr std::size_t lanes<simd::simd<T, Abi>> = simd::simd<T, Abi>::size();

// a where the mask holds, else b.
PULSEWRIGHT_INLINE double select(bool mask, double a, double b) { return mask ? a : b; }
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> select(const simd::simd_mask<T, Abi>& mask,
                                             const simd::simd<T, Abi>& a,
                                             const simd::simd<T, Abi>& b) {
  simd::simd<T, Abi> r = b;
  simd::where(mask, r) = a;
  return r;
}

// select() for costly alternatives: a scalar evaluates only the one that is chosen.
template <class Mask, class A, class B>
PULSEWRIGHT_INLINE auto choose(const Mask& mask, A&& a, B&& b) {
  if constexpr (std::is_same_v<Mask, bool>) {
    return mask ? a() : b();
  } else {
    return select(mask, a(), b());
  }
}

PULSEWRIGHT_INLINE bool any(bool mask) { return mask; }
template <class T, class Abi>
PULSEWRIGHT_INLINE bool any(const simd::simd_mask<T, Abi>& mask) {
  return simd::any_of(mask);
}

using simd::abs;
using simd::max;
using simd::min;
using simd::pow;
using simd::sqrt;
using std::abs;
using std::max;
using std::min;
using std::pow;
using std::sqrt;

template <class Real>
PULSEWRIGHT_INLINE Real load(const double* from) {
  if constexpr (lanes<Real> == 1) {
    return *from;
  } else {
    return Real(from, simd::element_aligned);
  }
}

PULSEWRIGHT_INLINE void store(double* to, double value) { *to = value; }
template <class T, class Abi>
PULSEWRIGHT_INLINE void store(T* to, const simd::simd<T, Abi>& value) {
  value.copy_to(to, simd::element_aligned);
}

PULSEWRIGHT_INLINE double largest(double value) { return value; }
template <class T, class Abi>
PULSEWRIGHT_INLINE T largest(const simd::simd<T, Abi>& value) {
  return simd::hmax(value);
}

// Calls step<Real>(i) so that every i in [first, last) is covered: packs first, the last pack
// overlapping the one before. The step must therefore be idempotent: write only what it does not
// read.
template <class Step>
PULSEWRIGHT_INLINE void for_each_cell(std::size_t first, std::size_t last, Step&& step) {
  constexpr std::size_t width = lanes<Pack>;
  if (last - first >= width && last > first) {
    std::size_t i = first;
    for (; i + width <= last; i += width) step.template operator()<Pack>(i);
    if (i < last) step.template operator()<Pack>(last - width);
  } else {
    for (std::size_t i = first; i < last; ++i) step.template operator()<double>(i);
  }
}

}  // namespace pulsewright::solver
