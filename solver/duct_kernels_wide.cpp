// Compiled with -march=x86-64-v4 where the compiler knows it: nothing but the kernels may stand
// here, since no code of this file may run before the processor has been asked
// (duct_kernels_choice.cpp).
#include "solver/duct_kernels_wide.hpp"

namespace pulsewright::solver {

#ifdef __AVX512F__
namespace {
using Wide = simd::simd<double, simd::simd_abi::__avx512>;
}
constinit const DuctKernelTable wide_monotonized_central =
    DuctKernels<FluxHllc, LimiterMonotonizedCentral, Wide>::table();
constinit const DuctKernelTable wide_van_leer =
    DuctKernels<FluxHllc, LimiterVanLeer, Wide>::table();
constinit const DuctKernelTable wide_minmod = DuctKernels<FluxHllc, LimiterMinmod, Wide>::table();
#else
constinit const DuctKernelTable wide_monotonized_central{};
constinit const DuctKernelTable wide_van_leer{};
constinit const DuctKernelTable wide_minmod{};
#endif

}  // namespace pulsewright::solver
