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
#ifdef __AVX2__
#include <immintrin.h>
#endif

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

PULSEWRIGHT_INLINE bool any(bool mask) { return mask; }
template <class T, class Abi>
PULSEWRIGHT_INLINE bool any(const simd::simd_mask<T, Abi>& mask) {
  return simd::any_of(mask);
}

// select() for costly alternatives: evaluates only what is chosen, a pack what any lane chooses.
template <class Mask, class A, class B>
PULSEWRIGHT_INLINE auto choose(const Mask& mask, A&& a, B&& b) {
  if constexpr (std::is_same_v<Mask, bool>) {
    return mask ? a() : b();
  } else {
    if (!any(mask)) return b();
    if (!any(!mask)) return a();
    return select(mask, a(), b());
  }
}

using simd::abs;
using simd::max;
using simd::min;
using simd::sqrt;
// Not those of the standard library: out of line they could come from a file compiled for a wider
// processor (kernels_avx512.cpp).
PULSEWRIGHT_INLINE double abs(double x) { return __builtin_fabs(x); }
PULSEWRIGHT_INLINE double sqrt(double x) { return __builtin_sqrt(x); }
PULSEWRIGHT_INLINE double max(double a, double b) { return a < b ? b : a; }
PULSEWRIGHT_INLINE double min(double a, double b) { return b < a ? b : a; }

// Logarithm (x > 0), exponential function, x to the power y; sine and cosine, of rad. Packs of four
// and eight take the vector functions of the GNU C library, within a few units of the last place of
// the scalar ones. The exponential functions of both widths agree to the last bit, the others do
// not and are therefore taken four at a time. Other packs go number by number.
PULSEWRIGHT_INLINE double log(double x) { return std::log(x); }
PULSEWRIGHT_INLINE double exp(double x) { return std::exp(x); }
PULSEWRIGHT_INLINE double pow(double x, double y) { return std::pow(x, y); }
PULSEWRIGHT_INLINE double sin(double x) { return std::sin(x); }
PULSEWRIGHT_INLINE double cos(double x) { return std::cos(x); }

namespace detail {

// one: for a number.
template <class One, class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> one_by_one(One&& one, const simd::simd<T, Abi>& x) {
  return simd::simd<T, Abi>([&](auto k) { return one(T(x[k])); });
}

#if defined(__x86_64__) && defined(__GLIBC__) && defined(__AVX2__)
#define PULSEWRIGHT_VECTOR_FUNCTIONS 1
// NOLINTBEGIN(readability-identifier-naming,bugprone-reserved-identifier): vector function ABI
extern "C" __m256d _ZGVdN4v_log(__m256d);
extern "C" __m256d _ZGVdN4v_exp(__m256d);
extern "C" __m256d _ZGVdN4v_sin(__m256d);
extern "C" __m256d _ZGVdN4v_cos(__m256d);
#ifdef __AVX512F__
extern "C" __m512d _ZGVeN8v_exp(__m512d);
#endif
// NOLINTEND(readability-identifier-naming,bugprone-reserved-identifier)

template <class T, class Abi>
inline constexpr bool by_fours = std::is_same_v<T, double>&& simd::simd<T, Abi>::size() % 4 == 0;

// four: for four numbers.
template <class Four, class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> four_by_four(Four&& four, const simd::simd<T, Abi>& x) {
  alignas(64) T a[simd::simd<T, Abi>::size()];
  x.copy_to(a, simd::vector_aligned);
  for (std::size_t k = 0; k < x.size(); k += 4) {
    _mm256_store_pd(a + k, four(_mm256_load_pd(a + k)));
  }
  return simd::simd<T, Abi>(a, simd::vector_aligned);
}
#endif

}  // namespace detail

template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> log(const simd::simd<T, Abi>& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<T, Abi>) return detail::four_by_four(detail::_ZGVdN4v_log, x);
#endif
  return detail::one_by_one([](T y) { return std::log(y); }, x);
}
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> sin(const simd::simd<T, Abi>& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<T, Abi>) return detail::four_by_four(detail::_ZGVdN4v_sin, x);
#endif
  return detail::one_by_one([](T y) { return std::sin(y); }, x);
}
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> cos(const simd::simd<T, Abi>& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<T, Abi>) return detail::four_by_four(detail::_ZGVdN4v_cos, x);
#endif
  return detail::one_by_one([](T y) { return std::cos(y); }, x);
}
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> exp(const simd::simd<T, Abi>& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
#ifdef __AVX512F__
  if constexpr (std::is_same_v<T, double> && simd::simd<T, Abi>::size() == 8) {
    alignas(64) T a[8];
    x.copy_to(a, simd::vector_aligned);
    _mm512_store_pd(a, detail::_ZGVeN8v_exp(_mm512_load_pd(a)));
    return simd::simd<T, Abi>(a, simd::vector_aligned);
  }
#endif
  if constexpr (detail::by_fours<T, Abi>) return detail::four_by_four(detail::_ZGVdN4v_exp, x);
#endif
  return detail::one_by_one([](T y) { return std::exp(y); }, x);
}
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> pow(const simd::simd<T, Abi>& x,
                                          const simd::simd<T, Abi>& y) {
  return solver::exp(simd::simd<T, Abi>(y * solver::log(x)));
}

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

// Calls step<Real>(i) so that every i in [first, last) is covered: packs of type Width first, the
// last pack overlapping the one before. The step must therefore be idempotent: write only what it
// does not read.
template <class Width, class Step>
PULSEWRIGHT_INLINE void for_each_cell(std::size_t first, std::size_t last, Step&& step) {
  constexpr std::size_t width = lanes<Width>;
  if (last - first >= width && last > first) {
    std::size_t i = first;
    for (; i + width <= last; i += width) step.template operator()<Width>(i);
    if (i < last) step.template operator()<Width>(last - width);
  } else {
    for (std::size_t i = first; i < last; ++i) step.template operator()<double>(i);
  }
}

}  // namespace pulsewright::solver
