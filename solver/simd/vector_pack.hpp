// Packs of numbers made of the vector types of the compiler (GNU C, "Using Vector Instructions
// through Built-in Functions"; clang has the same), for processors and standard libraries without
// a usable std::experimental::simd: that of WebAssembly only declares it.
//
// The operators of a number, lane by lane, each an operation of IEEE 754, so that a lane has the
// bits that a double would have. What types.hpp and math.hpp need and no more.
#pragma once

#include <cstddef>
#include <type_traits>
#include <utility>

#include "solver/simd/inline.hpp"

namespace pulsewright::solver {

// True and false, lane by lane, of a VectorPack<T, N>.
template <class T, std::size_t N>
class VectorMask {
 public:
  // All bits of a lane set, or none. Depends on T, since g++ 12 drops the attribute otherwise.
  using Word = std::conditional_t<sizeof(T) == sizeof(long long), long long, int>;
  using Bits [[gnu::vector_size(N * sizeof(T))]] = Word;

  VectorMask() = default;
  PULSEWRIGHT_INLINE explicit VectorMask(Bits bits) : bits_(bits) {}
  PULSEWRIGHT_INLINE explicit VectorMask(bool value) : bits_(Bits{} - Word{value}) {}

  PULSEWRIGHT_INLINE Bits bits() const { return bits_; }
  PULSEWRIGHT_INLINE bool operator[](std::size_t k) const { return bits_[k] != 0; }

  PULSEWRIGHT_INLINE VectorMask operator!() const { return VectorMask(Bits(~bits_)); }
  PULSEWRIGHT_INLINE friend VectorMask operator&&(const VectorMask& a, const VectorMask& b) {
    return VectorMask(Bits(a.bits_ & b.bits_));
  }
  PULSEWRIGHT_INLINE friend VectorMask operator||(const VectorMask& a, const VectorMask& b) {
    return VectorMask(Bits(a.bits_ | b.bits_));
  }

 private:
  Bits bits_;
};

// N numbers, N a power of two. Made of one number, all lanes are equal; of a function of the lane
// (a std::integral_constant), each has its value.
template <class T, std::size_t N>
class VectorPack {
 public:
  using Mask = VectorMask<T, N>;
  using Bits = typename Mask::Bits;
  using Lanes [[gnu::vector_size(N * sizeof(T))]] = T;

  VectorPack() = default;
  PULSEWRIGHT_INLINE explicit VectorPack(Lanes lanes) : lanes_(lanes) {}
  // Minus 0 rather than plus 0, which would make 0 of -0.
  template <class Number>
  requires std::is_arithmetic_v<Number> PULSEWRIGHT_INLINE
  VectorPack(Number number)  // NOLINT(google-explicit-constructor)
      : lanes_(static_cast<T>(number) - Lanes{}) {}
  template <class OfLane>
  requires std::is_invocable_r_v<T, const OfLane&, std::integral_constant<std::size_t, 0>>
      PULSEWRIGHT_INLINE explicit VectorPack(const OfLane& of_lane) {
    [&]<std::size_t... k>(std::index_sequence<k...>) __attribute__((always_inline)) {
      ((lanes_[k] = of_lane(std::integral_constant<std::size_t, k>{})), ...);
    }
    (std::make_index_sequence<N>{});
  }
  // From and to N numbers that follow each other, without a condition on their alignment.
  PULSEWRIGHT_INLINE static VectorPack loaded(const T* from) {
    return VectorPack(Lanes(*reinterpret_cast<const Unaligned*>(from)));
  }
  PULSEWRIGHT_INLINE void store(T* to) const { *reinterpret_cast<Unaligned*>(to) = lanes_; }

  PULSEWRIGHT_INLINE Lanes lanes() const { return lanes_; }
  PULSEWRIGHT_INLINE T operator[](std::size_t k) const { return lanes_[k]; }

  PULSEWRIGHT_INLINE VectorPack operator-() const { return VectorPack(Lanes(-lanes_)); }
  PULSEWRIGHT_INLINE friend VectorPack operator+(const VectorPack& a, const VectorPack& b) {
    return VectorPack(Lanes(a.lanes_ + b.lanes_));
  }
  PULSEWRIGHT_INLINE friend VectorPack operator-(const VectorPack& a, const VectorPack& b) {
    return VectorPack(Lanes(a.lanes_ - b.lanes_));
  }
  PULSEWRIGHT_INLINE friend VectorPack operator*(const VectorPack& a, const VectorPack& b) {
    return VectorPack(Lanes(a.lanes_ * b.lanes_));
  }
  PULSEWRIGHT_INLINE friend VectorPack operator/(const VectorPack& a, const VectorPack& b) {
    return VectorPack(Lanes(a.lanes_ / b.lanes_));
  }
  PULSEWRIGHT_INLINE VectorPack& operator+=(const VectorPack& b) { return *this = *this + b; }
  PULSEWRIGHT_INLINE VectorPack& operator-=(const VectorPack& b) { return *this = *this - b; }
  PULSEWRIGHT_INLINE VectorPack& operator*=(const VectorPack& b) { return *this = *this * b; }
  PULSEWRIGHT_INLINE VectorPack& operator/=(const VectorPack& b) { return *this = *this / b; }

  PULSEWRIGHT_INLINE friend Mask operator<(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ < b.lanes_));
  }
  PULSEWRIGHT_INLINE friend Mask operator>(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ > b.lanes_));
  }
  PULSEWRIGHT_INLINE friend Mask operator<=(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ <= b.lanes_));
  }
  PULSEWRIGHT_INLINE friend Mask operator>=(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ >= b.lanes_));
  }
  PULSEWRIGHT_INLINE friend Mask operator==(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ == b.lanes_));
  }
  PULSEWRIGHT_INLINE friend Mask operator!=(const VectorPack& a, const VectorPack& b) {
    return Mask(Bits(a.lanes_ != b.lanes_));
  }

 private:
  using Unaligned [[gnu::vector_size(N * sizeof(T)), gnu::aligned(alignof(T)), gnu::may_alias]] = T;
  Lanes lanes_;
};

// a where the mask holds, else b.
template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> select(const VectorMask<T, N>& mask, const VectorPack<T, N>& a,
                                           const VectorPack<T, N>& b) {
  using Lanes = typename VectorPack<T, N>::Lanes;
  return VectorPack<T, N>(Lanes(mask.bits() ? a.lanes() : b.lanes()));
}

template <class T, std::size_t N>
PULSEWRIGHT_INLINE bool any(const VectorMask<T, N>& mask) {
#ifdef __wasm_simd128__
  using Bytes [[gnu::vector_size(16)]] = signed char;
  if constexpr (N * sizeof(T) == sizeof(Bytes)) {
    return __builtin_wasm_any_true_v128(reinterpret_cast<Bytes>(mask.bits()));
  }
#endif
  bool found = false;
  for (std::size_t k = 0; k < N; ++k) found |= mask[k];
  return found;
}

template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> abs(const VectorPack<T, N>& x) {
  static_assert(std::is_same_v<T, double>);
  using Bits = typename VectorPack<T, N>::Bits;
  using Lanes = typename VectorPack<T, N>::Lanes;
  return VectorPack<T, N>(
      reinterpret_cast<Lanes>(Bits(reinterpret_cast<Bits>(x.lanes()) & 0x7fffffffffffffffLL)));
}
// Where they are equal or one is NaN: b, as the packs of the standard library are written.
template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> max(const VectorPack<T, N>& a, const VectorPack<T, N>& b) {
  return select(a > b, a, b);
}
template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> min(const VectorPack<T, N>& a, const VectorPack<T, N>& b) {
  return select(a < b, a, b);
}
template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> sqrt(const VectorPack<T, N>& x) {
#ifdef __wasm_simd128__
  if constexpr (N == 2 && std::is_same_v<T, double>) {
    return VectorPack<T, N>(__builtin_wasm_sqrt_f64x2(x.lanes()));
  }
#endif
  return VectorPack<T, N>([&](auto k) { return __builtin_sqrt(x[k]); });
}
template <class T, std::size_t N>
PULSEWRIGHT_INLINE VectorPack<T, N> floor(const VectorPack<T, N>& x) {
#ifdef __wasm_simd128__
  if constexpr (N == 2 && std::is_same_v<T, double>) {
    return VectorPack<T, N>(__builtin_wasm_floor_f64x2(x.lanes()));
  }
#endif
  return VectorPack<T, N>([&](auto k) { return __builtin_floor(x[k]); });
}

// The greatest number of a pack.
template <class T, std::size_t N>
PULSEWRIGHT_INLINE T largest(const VectorPack<T, N>& x) {
  T found = x[0];
  for (std::size_t k = 1; k < N; ++k) found = found < x[k] ? x[k] : found;
  return found;
}

}  // namespace pulsewright::solver
