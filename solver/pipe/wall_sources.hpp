// Source terms of the walls of a pipe, per volume.
//
//   F = -(laminar + turbulent rho |u|) u        N/m3, friction and bend losses
//   Q = heat_transfer (T_wall - T)              W/m3, heat
//
// with the coefficients of each cell, see EnsembleFields: for a Darcy factor f and a
// heat-transfer coefficient h in W/(m2 K) turbulent = f / (2 D), heat_transfer = 4 h / D. Friction
// at a wall at rest does no work.
#pragma once

#include "solver/simd/math.hpp"

namespace pulsewright::solver {

template <class Real>
PULSEWRIGHT_INLINE Real friction_force(const Real& laminar, const Real& turbulent, const Real& rho,
                                       const Real& u) {
  return -(laminar + turbulent * rho * abs(u)) * u;
}

template <class Real>
PULSEWRIGHT_INLINE Real wall_heat_flow(const Real& heat_transfer, const Real& T_wall,
                                       const Real& T) {
  return heat_transfer * (T_wall - T);
}

}  // namespace pulsewright::solver
