// Here only, so that no other file has to compile them.
#include "solver/pipe/kernel_tables.hpp"

namespace pulsewright::solver {

constinit const KernelTables avx2_monotonized_central =
    kernels_in<FluxHllc, LimiterMonotonizedCentral, Pack>();
constinit const KernelTables avx2_van_leer = kernels_in<FluxHllc, LimiterVanLeer, Pack>();
constinit const KernelTables avx2_minmod = kernels_in<FluxHllc, LimiterMinmod, Pack>();

}  // namespace pulsewright::solver
