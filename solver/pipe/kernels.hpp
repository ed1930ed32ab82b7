// The kernels of the pipes, compiled once per instruction set (kernels_portable.cpp,
// kernels_avx2.cpp, kernels_avx512.cpp; see solver/simd/dispatch.hpp).
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

// Of the scheme that runs use: HLLC with the monotonized central limiter. Null pointers where the
// program was built without the instruction set.
extern const SchemeKernels pipe_kernels_portable, pipe_kernels_avx2, pipe_kernels_avx512;
inline constexpr KernelSets<SchemeKernels> pipe_kernels{pipe_kernels_portable, pipe_kernels_avx2,
                                                        pipe_kernels_avx512};

// HLLC with the limiters that runs are compared with: in the instruction set of the whole program
// alone, which saves half of the compilation of all kernels.
extern const SchemeKernels van_leer_kernels, minmod_kernels;

template <class PackType>
constexpr SchemeKernels pipe_kernels_of() {
  const auto of = [](auto model) constexpr {
    using Model = decltype(model);
    return KernelTable{
        PipeKernels<Model, FluxHllc, LimiterMonotonizedCentral, PackType>::table(),
        EnsembleKernels<Model, FluxHllc, LimiterMonotonizedCentral, PackType>::table()};
  };
  return {of(TwoGasWithSources{}), of(PerfectGasAdiabatic{})};
}

// Of a scheme to compare with: one loop along the pipe for every gas, and none for ensembles.
template <class NumericalFlux, class Limiter>
constexpr SchemeKernels comparison_kernels_of() {
  const KernelTable along{PipeKernels<TwoGasWithSources, NumericalFlux, Limiter, Pack>::table(),
                          {}};
  return {along, along};
}

// The kernels of a scheme in the instruction set in use. Those that only tests compare with are
// compiled where they are used.
template <class NumericalFlux, class Limiter>
const SchemeKernels& scheme_kernels() {
  constexpr bool is_hllc = std::is_same_v<NumericalFlux, FluxHllc>;
  if constexpr (is_hllc && std::is_same_v<Limiter, LimiterMonotonizedCentral>) {
    return pipe_kernels.in_use();
  } else if constexpr (is_hllc && std::is_same_v<Limiter, LimiterVanLeer>) {
    return van_leer_kernels;
  } else if constexpr (is_hllc && std::is_same_v<Limiter, LimiterMinmod>) {
    return minmod_kernels;
  } else {  // only here: whoever names these compiles them
    static constexpr SchemeKernels scheme = comparison_kernels_of<NumericalFlux, Limiter>();
    return scheme;
  }
}

}  // namespace pulsewright::solver
