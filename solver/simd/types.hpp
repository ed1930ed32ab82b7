// The number types that the arithmetic of the solver is written for, and how packs are loaded,
// stored and selected from.
//
// Every formula of a cell, an end, a valve or a junction is a template on the number type Real, so
// that it serves a plain double, a pack of doubles (one cell, one boundary, one cylinder or one
// operating point per SIMD lane) and a type that counts operations. Such code uses select() for
// choices by value, never if. Packs come from std::experimental::simd (ISO/IEC TS 19570:2018,
// Parallelism 2), and where the standard library has none from the vector types of the compiler
// (vector_pack.hpp). A further pack type, of another instruction set, is defined here, gets its
// functions in math.hpp and its name in dispatch.hpp.
#pragma once

#include <cstddef>
#include <type_traits>
#include <version>
#ifdef __GLIBCXX__
#include <experimental/simd>
#define PULSEWRIGHT_HAS_STANDARD_SIMD
#endif

#include "solver/simd/inline.hpp"
#include "solver/simd/vector_pack.hpp"

namespace pulsewright::solver {

template <class Real>
inline constexpr std::size_t lanes = 1;
template <class T, std::size_t N>
inline constexpr std::size_t lanes<VectorPack<T, N>> = N;

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
namespace simd = std::experimental;

template <class T, class Abi>
inline constexpr std::size_t lanes<simd::simd<T, Abi>> = simd::simd<T, Abi>::size();

// Of the instruction set that the whole program is compiled for (InstructionSet::avx2).
using Pack = simd::native_simd<double>;
// For InstructionSet::portable: as many lanes.
using PackPortable = VectorPack<double, lanes<Pack>>;
// Only in the files that are compiled for it, kernels_avx512.cpp (InstructionSet::avx512).
#if defined(__AVX512F__)
#define PULSEWRIGHT_HAS_PACK_AVX512
using PackAvx512 = simd::simd<double, simd::simd_abi::__avx512>;
#elif defined(PULSEWRIGHT_EIGHT_LANES)
// As many lanes, made of narrower packs: the same loops over the same memory, for builds with the
// sanitizers, whose compiler makes wrong code of the pack itself.
#define PULSEWRIGHT_HAS_PACK_AVX512
using PackAvx512 = simd::fixed_size_simd<double, 8>;
#endif
#else
using PackPortable = VectorPack<double, 2>;  // 128 bits, as WebAssembly has them
using Pack = PackPortable;
#endif
// Lanes of the widest pack type. Arrays that packs run over are padded to a multiple of it.
inline constexpr std::size_t widest_lanes = 8;

// Every type of pack.
template <class Real>
concept AnyPack = lanes<Real> >
1;

// a where the mask holds, else b.
PULSEWRIGHT_INLINE double select(bool mask, double a, double b) { return mask ? a : b; }
PULSEWRIGHT_INLINE bool any(bool mask) { return mask; }
// The greatest number of a pack.
PULSEWRIGHT_INLINE double largest(double value) { return value; }

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
template <class T, class Abi>
PULSEWRIGHT_INLINE simd::simd<T, Abi> select(const simd::simd_mask<T, Abi>& mask,
                                             const simd::simd<T, Abi>& a,
                                             const simd::simd<T, Abi>& b) {
  simd::simd<T, Abi> r = b;
  simd::where(mask, r) = a;
  return r;
}
template <class T, class Abi>
PULSEWRIGHT_INLINE bool any(const simd::simd_mask<T, Abi>& mask) {
  return simd::any_of(mask);
}
template <class T, class Abi>
PULSEWRIGHT_INLINE T largest(const simd::simd<T, Abi>& value) {
  return simd::hmax(value);
}
#endif

// select() for costly alternatives: evaluates only what is selected, a pack what any lane selects.
template <class Mask, class A, class B>
PULSEWRIGHT_INLINE auto select_lazy(const Mask& mask, A&& a, B&& b) {
  if constexpr (std::is_same_v<Mask, bool>) {
    return mask ? a() : b();
  } else {
    if (!any(mask)) return b();
    if (!any(!mask)) return a();
    return select(mask, a(), b());
  }
}

// lanes<Real> numbers that follow each other, without a condition on their alignment.
template <class Real>
PULSEWRIGHT_INLINE Real load(const double* from) {
  if constexpr (lanes<Real> == 1) {
    return *from;
  } else if constexpr (requires { Real::loaded(from); }) {
    return Real::loaded(from);
  } else {
#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
    return Real(from, simd::element_aligned);
#endif
  }
}

PULSEWRIGHT_INLINE void store(double* to, double value) { *to = value; }
template <class T, std::size_t N>
PULSEWRIGHT_INLINE void store(T* to, const VectorPack<T, N>& value) {
  value.store(to);
}
#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
template <class T, class Abi>
PULSEWRIGHT_INLINE void store(T* to, const simd::simd<T, Abi>& value) {
  value.copy_to(to, simd::element_aligned);
}
#endif

// Lane k from data[index[k]].
template <class Real>
PULSEWRIGHT_INLINE Real gather(const double* data, const std::size_t* index) {
  if constexpr (lanes<Real> == 1) {
    return data[*index];
  } else {
    return Real([&](auto k) { return data[index[k]]; });
  }
}

}  // namespace pulsewright::solver
