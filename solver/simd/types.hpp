// The number types that the arithmetic of the solver is written for, and how packs are loaded,
// stored and selected from.
//
// Every formula of a cell, an end, a valve or a junction is a template on the number type Real, so
// that it serves a plain double, a pack of doubles (one cell, one boundary, one cylinder or one
// operating point per SIMD lane) and a type that counts operations. Such code uses select() for
// choices by value, never if. Packs come from std::experimental::simd (ISO/IEC TS 19570:2018,
// Parallelism 2). A further pack type, of another instruction set, is defined here, gets its
// functions in math.hpp and its name in dispatch.hpp.
#pragma once

#include <cstddef>
#include <experimental/simd>
#include <type_traits>

// The arithmetic of a cell must end up in one loop body: left to itself the compiler keeps the
// pieces apart and passes packs through memory.
#define PULSEWRIGHT_INLINE [[gnu::always_inline]] inline

namespace pulsewright::solver {

namespace simd = std::experimental;
// Of the instruction set that the whole program is compiled for (InstructionSet::avx2).
using Pack = simd::native_simd<double>;
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
// Lanes of the widest pack type. Arrays that packs run over are padded to a multiple of it.
inline constexpr std::size_t widest_lanes = 8;

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
  } else {
    return Real(from, simd::element_aligned);
  }
}

PULSEWRIGHT_INLINE void store(double* to, double value) { *to = value; }
template <class T, class Abi>
PULSEWRIGHT_INLINE void store(T* to, const simd::simd<T, Abi>& value) {
  value.copy_to(to, simd::element_aligned);
}

// Lane k from data[index[k]].
template <class Real>
PULSEWRIGHT_INLINE Real gather(const double* data, const std::size_t* index) {
  if constexpr (lanes<Real> == 1) {
    return data[*index];
  } else {
    return Real([&](auto k) { return data[index[k]]; });
  }
}

// The greatest number of a pack.
PULSEWRIGHT_INLINE double largest(double value) { return value; }
template <class T, class Abi>
PULSEWRIGHT_INLINE T largest(const simd::simd<T, Abi>& value) {
  return simd::hmax(value);
}

}  // namespace pulsewright::solver
