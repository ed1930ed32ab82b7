// The kernels of the pipes in the instruction set of the whole program. Here only, so that no other
// file has to compile them.
#include "solver/pipe/kernels.hpp"

namespace pulsewright::solver {

constinit const PipeKernelSet pipe_kernels_avx2 = pipe_kernels_of<Pack>();

}  // namespace pulsewright::solver
