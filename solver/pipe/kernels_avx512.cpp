// Compiled with -march=x86-64-v4 where the compiler knows it: nothing but the kernels may stand
// here, since no code of this file may run before the processor has been asked
// (kernel_tables.cpp).
#include "solver/pipe/kernel_tables.hpp"

namespace pulsewright::solver {

#ifdef __AVX512F__
namespace {
using Wide = simd::simd<double, simd::simd_abi::__avx512>;
}
constinit const KernelTables avx512_monotonized_central =
    kernels_in<FluxHllc, LimiterMonotonizedCentral, Wide>();
constinit const KernelTables avx512_van_leer = kernels_in<FluxHllc, LimiterVanLeer, Wide>();
constinit const KernelTables avx512_minmod = kernels_in<FluxHllc, LimiterMinmod, Wide>();
#else
constinit const KernelTables avx512_monotonized_central{};
constinit const KernelTables avx512_van_leer{};
constinit const KernelTables avx512_minmod{};
#endif

}  // namespace pulsewright::solver
