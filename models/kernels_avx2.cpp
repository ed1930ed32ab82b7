// The kernels of the models - orifices, cylinders - in the instruction set of the whole program.
// Here only, so that no other file has to compile them.
#include "models/boundary/orifice_kernels.hpp"
#include "models/cylinder/cylinder_kernels.hpp"

namespace pulsewright::models {

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
constinit const OrificeKernelTable orifice_kernels_avx2 = OrificeKernels<solver::Pack>::table();
constinit const CylinderKernelTable cylinder_kernels_avx2 = CylinderKernels<solver::Pack>::table();
#else  // the set of the whole program is the portable one
constinit const OrificeKernelTable orifice_kernels_avx2{};
constinit const CylinderKernelTable cylinder_kernels_avx2{};
#endif

}  // namespace pulsewright::models
