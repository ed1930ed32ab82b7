// The kernels in packs of eight, for processors with AVX-512 (x86-64-v4).
#pragma once

#include <type_traits>

#include "solver/duct_kernels.hpp"
#include "solver/lane_kernels.hpp"

namespace pulsewright::solver {

// The kernels of one scheme.
struct KernelTable {
  DuctKernelTable duct;
  LaneKernelTable lanes;
};

template <class NumericalFlux, class Limiter, class Width>
constexpr KernelTable kernels_in() {
  return {DuctKernels<NumericalFlux, Limiter, Width>::table(),
          LaneKernels<NumericalFlux, Limiter, Width>::table()};
}

// Null pointers where the program was built without.
extern const KernelTable wide_monotonized_central;
extern const KernelTable wide_van_leer;
extern const KernelTable wide_minmod;

// Whether they exist and the processor that runs this can run them.
bool wide_vectors();

// The kernels of a scheme for the processor that runs this.
template <class NumericalFlux, class Limiter>
const KernelTable& fastest_kernels() {
  if constexpr (std::is_same_v<NumericalFlux, FluxHllc>) {
    static const bool wide = wide_vectors();
    if constexpr (std::is_same_v<Limiter, LimiterMonotonizedCentral>) {
      if (wide) return wide_monotonized_central;
    } else if constexpr (std::is_same_v<Limiter, LimiterVanLeer>) {
      if (wide) return wide_van_leer;
    } else if constexpr (std::is_same_v<Limiter, LimiterMinmod>) {
      if (wide) return wide_minmod;
    }
  }
  static constexpr KernelTable table = kernels_in<NumericalFlux, Limiter, Pack>();
  return table;
}

}  // namespace pulsewright::solver
