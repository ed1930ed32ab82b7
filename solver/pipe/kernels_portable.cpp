// The kernels of the pipes on the vector types of the compiler (solver/simd/dispatch.hpp). Here
// only, so that no other file has to compile them.
#include "solver/pipe/kernels.hpp"

namespace pulsewright::solver {

#if defined(PULSEWRIGHT_PORTABLE) || !defined(PULSEWRIGHT_HAS_STANDARD_SIMD)
constinit const SchemeKernels pipe_kernels_portable = pipe_kernels_of<PackPortable>();
#else
constinit const SchemeKernels pipe_kernels_portable{};
#endif

}  // namespace pulsewright::solver
