// The kernels of the pipes in the instruction set of the whole program. Here only, so that no other
// file has to compile them.
#include "solver/pipe/kernels.hpp"

namespace pulsewright::solver {

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
constinit const SchemeKernels pipe_kernels_avx2 = pipe_kernels_of<Pack>();
#else  // the set of the whole program is the portable one
constinit const SchemeKernels pipe_kernels_avx2{};
#endif
constinit const SchemeKernels van_leer_kernels = comparison_kernels_of<FluxHllc, LimiterVanLeer>();
constinit const SchemeKernels minmod_kernels = comparison_kernels_of<FluxHllc, LimiterMinmod>();

}  // namespace pulsewright::solver
