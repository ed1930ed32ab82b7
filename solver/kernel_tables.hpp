// The kernels for every processor, in packs of four, and for those with AVX-512 (x86-64-v4), in
// packs of eight.
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

// In packs of four and of eight, for the schemes that a run can choose; those of eight are null
// pointers where the program was built without.
extern const KernelTables narrow_monotonized_central, wide_monotonized_central;
extern const KernelTables narrow_van_leer, wide_van_leer;
extern const KernelTables narrow_minmod, wide_minmod;

// Whether those of eight exist and the processor that runs this can run them.
bool wide_vectors();

// The kernels of a scheme for the processor that runs this. Schemes that only tests compare with
// have no lanes.
template <class NumericalFlux, class Limiter>
const KernelTables& fastest_kernels() {
  if constexpr (std::is_same_v<NumericalFlux, FluxHllc>) {
    static const bool wide = wide_vectors();
    if constexpr (std::is_same_v<Limiter, LimiterMonotonizedCentral>) {
      return wide ? wide_monotonized_central : narrow_monotonized_central;
    } else if constexpr (std::is_same_v<Limiter, LimiterVanLeer>) {
      return wide ? wide_van_leer : narrow_van_leer;
    } else if constexpr (std::is_same_v<Limiter, LimiterMinmod>) {
      return wide ? wide_minmod : narrow_minmod;
    }
  }
  static constexpr KernelTable along{DuctKernels<FullModel, NumericalFlux, Limiter, Pack>::table(),
                                     {}};
  static constexpr KernelTables tables{along, along};
  return tables;
}

}  // namespace pulsewright::solver
