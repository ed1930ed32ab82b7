// Functions of the number types of types.hpp.
//
// Cost: log, exp, sin and cos of a pack are calls of the vector functions of the GNU C library
// where there is one, pow is an exp and a log. Accuracy: a few units of the last place.
#pragma once

#include <cmath>
#ifdef __AVX2__
#include <immintrin.h>
#endif

#include "solver/simd/types.hpp"

namespace pulsewright::solver {

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
using simd::abs;
using simd::max;
using simd::min;
using simd::sqrt;
#endif
// Not those of the standard library: out of line they could come from a file compiled for a wider
// processor (kernels_avx512.cpp).
PULSEWRIGHT_INLINE double abs(double x) { return __builtin_fabs(x); }
PULSEWRIGHT_INLINE double sqrt(double x) { return __builtin_sqrt(x); }
PULSEWRIGHT_INLINE double max(double a, double b) { return a < b ? b : a; }
PULSEWRIGHT_INLINE double min(double a, double b) { return b < a ? b : a; }

// Logarithm (x > 0), exponential function, x to the power y; sine and cosine, of rad. Packs of four
// and eight take the vector functions of the GNU C library, within a few units of the last place of
// the scalar ones. The exponential functions of both widths agree to the last bit, the others do
// not and are therefore taken four at a time. Other packs go number by number. To be called as
// solver::log(x): for packs the standard library has functions of these names, with other digits.
PULSEWRIGHT_INLINE double log(double x) { return std::log(x); }
PULSEWRIGHT_INLINE double exp(double x) { return std::exp(x); }
PULSEWRIGHT_INLINE double pow(double x, double y) { return std::pow(x, y); }
PULSEWRIGHT_INLINE double sin(double x) { return std::sin(x); }
PULSEWRIGHT_INLINE double cos(double x) { return std::cos(x); }

namespace detail {

// one: for a number.
template <class One, AnyPack P>
PULSEWRIGHT_INLINE P one_by_one(One&& one, const P& x) {
  return P([&](auto k) { return one(double(x[k])); });
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

template <class P>
inline constexpr bool by_fours = lanes<P> % 4 == 0;

// four: for four numbers.
template <class Four, AnyPack P>
PULSEWRIGHT_INLINE P four_by_four(Four&& four, const P& x) {
  alignas(64) double a[lanes<P>];
  store(a, x);
  for (std::size_t k = 0; k < lanes<P>; k += 4) {
    _mm256_store_pd(a + k, four(_mm256_load_pd(a + k)));
  }
  return load<P>(a);
}
#endif

}  // namespace detail

template <AnyPack P>
PULSEWRIGHT_INLINE P log(const P& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<P>) return detail::four_by_four(detail::_ZGVdN4v_log, x);
#endif
  return detail::one_by_one([](double y) { return std::log(y); }, x);
}
template <AnyPack P>
PULSEWRIGHT_INLINE P sin(const P& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<P>) return detail::four_by_four(detail::_ZGVdN4v_sin, x);
#endif
  return detail::one_by_one([](double y) { return std::sin(y); }, x);
}
template <AnyPack P>
PULSEWRIGHT_INLINE P cos(const P& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
  if constexpr (detail::by_fours<P>) return detail::four_by_four(detail::_ZGVdN4v_cos, x);
#endif
  return detail::one_by_one([](double y) { return std::cos(y); }, x);
}
template <AnyPack P>
PULSEWRIGHT_INLINE P exp(const P& x) {
#ifdef PULSEWRIGHT_VECTOR_FUNCTIONS
#ifdef __AVX512F__
  if constexpr (lanes<P> == 8) {
    alignas(64) double a[8];
    store(a, x);
    _mm512_store_pd(a, detail::_ZGVeN8v_exp(_mm512_load_pd(a)));
    return load<P>(a);
  }
#endif
  if constexpr (detail::by_fours<P>) return detail::four_by_four(detail::_ZGVdN4v_exp, x);
#endif
  return detail::one_by_one([](double y) { return std::exp(y); }, x);
}
template <AnyPack P>
PULSEWRIGHT_INLINE P pow(const P& x, const P& y) {
  return solver::exp(P(y * solver::log(x)));
}

}  // namespace pulsewright::solver
