// Compiled with -march=x86-64-v4 where the compiler knows it: nothing but the kernels may stand
// here, since no code of this file may run before the processor has been asked
// (solver/pipe/kernel_tables.cpp).
#include "models/cylinder/cylinder_kernels.hpp"

namespace pulsewright::models {

#ifdef __AVX512F__
constinit const CylinderKernelTable avx512_cylinders =
    CylinderKernels<solver::simd::simd<double, solver::simd::simd_abi::__avx512>>::table();
#else
constinit const CylinderKernelTable avx512_cylinders{};
#endif

}  // namespace pulsewright::models
