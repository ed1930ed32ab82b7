// The kernels of the models - orifices, cylinders - in AVX-512. Compiled with -march=x86-64-v4
// where the compiler knows it: nothing but the kernels may stand here, since no code of this file
// may run before the processor has been checked (solver/simd/dispatch.hpp).
#include "models/boundary/orifice_kernels.hpp"
#include "models/cylinder/cylinder_kernels.hpp"

namespace pulsewright::models {

#ifdef PULSEWRIGHT_HAS_PACK_AVX512
constinit const OrificeKernelTable orifice_kernels_avx512 =
    OrificeKernels<solver::PackAvx512>::table();
constinit const CylinderKernelTable cylinder_kernels_avx512 =
    CylinderKernels<solver::PackAvx512>::table();
#else
constinit const OrificeKernelTable orifice_kernels_avx512{};
constinit const CylinderKernelTable cylinder_kernels_avx512{};
#endif

}  // namespace pulsewright::models
