// The kernels of the models - orifices, cylinders - on the vector types of the compiler
// (solver/simd/dispatch.hpp). Here only, so that no other file has to compile them.
#include "models/boundary/orifice_kernels.hpp"
#include "models/cylinder/cylinder_kernels.hpp"

namespace pulsewright::models {

#if defined(PULSEWRIGHT_PORTABLE) || !defined(PULSEWRIGHT_HAS_STANDARD_SIMD)
constinit const OrificeKernelTable orifice_kernels_portable =
    OrificeKernels<solver::PackPortable>::table();
constinit const CylinderKernelTable cylinder_kernels_portable =
    CylinderKernels<solver::PackPortable>::table();
#else
constinit const OrificeKernelTable orifice_kernels_portable{};
constinit const CylinderKernelTable cylinder_kernels_portable{};
#endif

}  // namespace pulsewright::models
