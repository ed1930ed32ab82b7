// The kernels in packs of eight, for processors with AVX-512 (x86-64-v4).
#pragma once

#include <type_traits>

#include "solver/duct_kernels.hpp"
#include "solver/lane_kernels.hpp"

namespace pulsewright::solver {

// The kernels of one scheme and one model.
struct KernelTable {
  DuctKernelTable duct;
  LaneKernelTable lanes;
};
// Of one scheme: for everything, and for a gas of constant gamma without walls.
struct KernelTables {
  KernelTable full, bare;
};

template <class Model, class NumericalFlux, class Limiter, class Width>
constexpr KernelTable kernels_of() {
  return {DuctKernels<Model, NumericalFlux, Limiter, Width>::table(),
          LaneKernels<Model, NumericalFlux, Limiter, Width>::table()};
}
template <class NumericalFlux, class Limiter, class Width>
constexpr KernelTables kernels_in() {
  return {kernels_of<FullModel, NumericalFlux, Limiter, Width>(),
          kernels_of<BareModel, NumericalFlux, Limiter, Width>()};
}

// Null pointers where the program was built without.
extern const KernelTables wide_monotonized_central;
extern const KernelTables wide_van_leer;
extern const KernelTables wide_minmod;

// Whether they exist and the processor that runs this can run them.
bool wide_vectors();

// The kernels of a scheme for the processor that runs this.
template <class NumericalFlux, class Limiter>
const KernelTables& fastest_kernels() {
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
  static constexpr KernelTables table = kernels_in<NumericalFlux, Limiter, Pack>();
  return table;
}

}  // namespace pulsewright::solver
