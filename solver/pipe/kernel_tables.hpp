// The kernels for every processor, in packs of four, and for those with AVX-512 (x86-64-v4), in
// packs of eight.
#pragma once

#include <type_traits>

#include "solver/pipe/ensemble_kernels.hpp"
#include "solver/pipe/pipe_kernels.hpp"

namespace pulsewright::solver {

// The kernels of one scheme and one model.
struct KernelTable {
  PipeKernelTable pipe;
  EnsembleKernelTable lanes;
};
// Of one scheme: for everything, and for a gas of constant gamma without walls.
struct KernelTables {
  KernelTable full, bare;
};

template <class Model, class NumericalFlux, class Limiter, class Width>
constexpr KernelTable kernels_of() {
  return {PipeKernels<Model, NumericalFlux, Limiter, Width>::table(),
          EnsembleKernels<Model, NumericalFlux, Limiter, Width>::table()};
}
template <class NumericalFlux, class Limiter, class Width>
constexpr KernelTables kernels_in() {
  return {kernels_of<TwoGasWithSources, NumericalFlux, Limiter, Width>(),
          kernels_of<PerfectGasAdiabatic, NumericalFlux, Limiter, Width>()};
}

// In packs of four and of eight, for the schemes that a run can choose; those of eight are null
// pointers where the program was built without.
extern const KernelTables avx2_monotonized_central, avx512_monotonized_central;
extern const KernelTables avx2_van_leer, avx512_van_leer;
extern const KernelTables avx2_minmod, avx512_minmod;

// Whether those of eight exist and the processor that runs this can run them.
bool avx512_available();

// The kernels of a scheme for the processor that runs this. Schemes that only tests compare with
// have no lanes.
template <class NumericalFlux, class Limiter>
const KernelTables& fastest_kernels() {
  if constexpr (std::is_same_v<NumericalFlux, FluxHllc>) {
    static const bool wide = avx512_available();
    if constexpr (std::is_same_v<Limiter, LimiterMonotonizedCentral>) {
      return wide ? avx512_monotonized_central : avx2_monotonized_central;
    } else if constexpr (std::is_same_v<Limiter, LimiterVanLeer>) {
      return wide ? avx512_van_leer : avx2_van_leer;
    } else if constexpr (std::is_same_v<Limiter, LimiterMinmod>) {
      return wide ? avx512_minmod : avx2_minmod;
    }
  }
  static constexpr KernelTable along{
      PipeKernels<TwoGasWithSources, NumericalFlux, Limiter, Pack>::table(), {}};
  static constexpr KernelTables tables{along, along};
  return tables;
}

}  // namespace pulsewright::solver
