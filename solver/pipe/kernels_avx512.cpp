// The kernels of the pipes in AVX-512. Compiled with -march=x86-64-v4 where the compiler knows it:
// nothing but the kernels may stand here, since no code of this file may run before the processor
// has been checked (solver/simd/dispatch.hpp).
#include "solver/pipe/kernels.hpp"

namespace pulsewright::solver {

#ifdef PULSEWRIGHT_HAS_PACK_AVX512
constinit const SchemeKernels pipe_kernels_avx512 = pipe_kernels_of<PackAvx512>();
#else
constinit const SchemeKernels pipe_kernels_avx512{};
#endif

}  // namespace pulsewright::solver
