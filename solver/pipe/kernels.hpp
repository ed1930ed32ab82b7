// The kernels of the pipes, compiled once per instruction set (kernels_avx2.cpp,
// kernels_avx512.cpp; see solver/simd/dispatch.hpp).
#pragma once

#include <type_traits>

#include "solver/pipe/ensemble_kernels.hpp"
#include "solver/pipe/pipe_kernels.hpp"
#include "solver/simd/dispatch.hpp"

namespace pulsewright::solver {

// The kernels of one scheme and one model.
struct KernelTable {
  PipeKernelTable pipe;
  EnsembleKernelTable ensemble;
};
// Of one scheme: for everything, and for a gas of constant gamma without walls.
struct SchemeKernels {
  KernelTable two_gas_with_sources, perfect_gas_adiabatic;
};
// The schemes that a run can choose: HLLC with one of the limiters.
struct PipeKernelSet {
  SchemeKernels monotonized_central, van_leer, minmod;
};

// Null pointers where the program was built without the instruction set.
extern const PipeKernelSet pipe_kernels_avx2, pipe_kernels_avx512;
inline constexpr KernelSets<PipeKernelSet> pipe_kernels{pipe_kernels_avx2, pipe_kernels_avx512};

template <class Model, class NumericalFlux, class Limiter, class PackType>
constexpr KernelTable kernels_of() {
  return {PipeKernels<Model, NumericalFlux, Limiter, PackType>::table(),
          EnsembleKernels<Model, NumericalFlux, Limiter, PackType>::table()};
}
template <class NumericalFlux, class Limiter, class PackType>
constexpr SchemeKernels scheme_kernels_of() {
  return {kernels_of<TwoGasWithSources, NumericalFlux, Limiter, PackType>(),
          kernels_of<PerfectGasAdiabatic, NumericalFlux, Limiter, PackType>()};
}
template <class PackType>
constexpr PipeKernelSet pipe_kernels_of() {
  return {scheme_kernels_of<FluxHllc, LimiterMonotonizedCentral, PackType>(),
          scheme_kernels_of<FluxHllc, LimiterVanLeer, PackType>(),
          scheme_kernels_of<FluxHllc, LimiterMinmod, PackType>()};
}

// The kernels of a scheme in the instruction set in use. Schemes that only tests compare with have
// no others than those of the whole program's, and none for ensembles.
template <class NumericalFlux, class Limiter>
const SchemeKernels& scheme_kernels() {
  if constexpr (std::is_same_v<NumericalFlux, FluxHllc>) {
    if constexpr (std::is_same_v<Limiter, LimiterMonotonizedCentral>) {
      return pipe_kernels.in_use().monotonized_central;
    } else if constexpr (std::is_same_v<Limiter, LimiterVanLeer>) {
      return pipe_kernels.in_use().van_leer;
    } else if constexpr (std::is_same_v<Limiter, LimiterMinmod>) {
      return pipe_kernels.in_use().minmod;
    }
  }
  static constexpr KernelTable along{
      PipeKernels<TwoGasWithSources, NumericalFlux, Limiter, Pack>::table(), {}};
  static constexpr SchemeKernels scheme{along, along};
  return scheme;
}

}  // namespace pulsewright::solver
