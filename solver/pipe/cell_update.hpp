// The arithmetic of one cell in one time step (see pipe_update.hpp for the scheme), for a number or
// a pack of numbers: a pack holds neighbouring cells of one pipe (pipe_kernels.hpp) or the same
// cell of several pipes, each with its own time step (ensemble_kernels.hpp). Both give the same
// bits.
#pragma once

#include "solver/gas/state.hpp"
#include "solver/pipe/wall_sources.hpp"

namespace pulsewright::solver {

// What is computed: two gases with walls, or one gas of constant gamma without, which is what
// textbooks compute.
struct TwoGasWithSources {
  using GasModel = Gas;
  static constexpr bool walls = true;
};
struct PerfectGasAdiabatic {
  using GasModel = GasOfConstantGamma;
  static constexpr bool walls = false;
};

// A cell at the start of the step.
template <class Real>
struct CellStart {
  Primitive<Real> w;
  Real T;                                          // K
  Real inverse_rho, gamma_less_1;                  // m3/kg, 1
  Real laminar, turbulent, heat_transfer, T_wall;  // of its walls, see EnsembleFields
  Real area_rise, inverse_volume;                  // m2, 1/m3
};

// The cell half a step later.
template <class Real>
struct CellMidpoint {
  Primitive<Real> left, right;  // at its faces, as seen from within
  Real p, force, heat;          // at its centre: Pa, N/m3, W/m3
  decltype(Real() >
           Real()) used_first_order_fallback;  // its faces have the state of the cell, near vacuum
};

// Predictor of MUSCL-Hancock, Toro (2009), section 14.4, in the primitive variables w = (rho, u, p,
// Y). With the limited differences s over the cell:
//
//   rho' = rho - dt/2 (u s_rho + rho s_u) / dx           - dt/2 rho u (dA/dx) / A
//   u'   = u   - dt/2 (u s_u + s_p / rho) / dx           + dt/2 F / rho
//   p'   = p   - dt/2 (u s_p + rho c^2 s_u) / dx         - dt/2 rho c^2 u (dA/dx) / A
//                                                        + dt/2 (gamma - 1) (Q - F u)
//   Y'   = Y   - dt/2 u s_Y / dx
//   at the faces: w' - s/2 and w' + s/2
//
// where rho c^2 = gamma p and (dA/dx) / A is the rise of the area over the cell by its volume; F
// and Q of wall_sources.hpp. Cost: the slopes, one division (T at the midpoint) with walls, none
// without.
//
// dt in s, half = dt / (2 dx) in s/m: one number for all or one for each. before, after: the state
// of the cells beside it.
template <class Model, class Limiter, class Real, class Step>
PULSEWRIGHT_INLINE CellMidpoint<Real> predictor(const typename Model::GasModel& gas, const Step& dt,
                                                const Step& half, const Primitive<Real>& before,
                                                const CellStart<Real>& cell,
                                                const Primitive<Real>& after) {
  const auto& [rho, u, p, Y] = cell.w;
  const Real s_rho = Limiter::slope(Real(rho - before.rho), Real(after.rho - rho));
  const Real s_u = Limiter::slope(Real(u - before.u), Real(after.u - u));
  const Real s_p = Limiter::slope(Real(p - before.p), Real(after.p - p));
  const Real s_Y = Limiter::slope(Real(Y - before.Y), Real(after.Y - Y));

  Real force = 0.0;
  Real heat = 0.0;
  if constexpr (Model::walls) {
    force = friction_force(cell.laminar, cell.turbulent, rho, u);
    heat = wall_heat_flow(cell.heat_transfer, cell.T_wall, cell.T);
  }

  const Real rho_c2 = (1.0 + cell.gamma_less_1) * p;
  const Real area_source = 0.5 * dt * u * cell.area_rise * cell.inverse_volume;
  const Real m_rho = rho - (half * (u * s_rho + rho * s_u) + area_source * rho);
  Real m_u = u - half * (u * s_u + s_p * cell.inverse_rho);
  Real m_p = p - (half * (u * s_p + rho_c2 * s_u) + area_source * rho_c2);
  if constexpr (Model::walls) {
    m_u = m_u + 0.5 * dt * (force * cell.inverse_rho);
    m_p = m_p + 0.5 * dt * (cell.gamma_less_1 * (heat - force * u));
  }
  const Real m_Y = Y - half * (u * s_Y);

  const Real low_rho = m_rho - 0.5 * abs(s_rho);
  const Real low_p = m_p - 0.5 * abs(s_p);
  const auto positive = low_rho > 0.05 * rho && low_p > 0.05 * p;
  const auto at_faces = [&](Real & left, Real & right, const Real& own, const Real& middle,
                            const Real& slope) __attribute__((always_inline)) {
    left = select(positive, Real(middle - 0.5 * slope), own);
    right = select(positive, Real(middle + 0.5 * slope), own);
  };
  CellMidpoint<Real> result;
  at_faces(result.left.rho, result.right.rho, rho, m_rho, s_rho);
  at_faces(result.left.u, result.right.u, u, m_u, s_u);
  at_faces(result.left.p, result.right.p, p, m_p, s_p);
  at_faces(result.left.Y, result.right.Y, Y, m_Y, s_Y);

  result.p = select(positive, m_p, p);
  if constexpr (Model::walls) {
    const Real h_rho = select(positive, m_rho, rho);
    const Real h_u = select(positive, m_u, u);
    const Real h_T = result.p / (h_rho * gas.gas_constant(Y));
    result.force = friction_force(cell.laminar, cell.turbulent, h_rho, h_u);
    result.heat = wall_heat_flow(cell.heat_transfer, cell.T_wall, h_T);
  }
  result.used_first_order_fallback = !positive;
  return result;
}

// Content of a cell per m3: kg, kg/(m2 s), J, kg, and the heat that its walls gave it so far, J.
template <class Real>
struct CellContent {
  Real rho, momentum, energy, burnt, wall_heat;
};

// Corrector, the finite-volume update: with the fluxes f at the faces, the volume V and the areas A
// of the faces
//
//   rho   += dt/V (A_l f_l - A_r f_r)                     likewise energy and burnt gas
//   rho u += dt/V (A_l (f_l - p) - A_r (f_r - p)) + dt F
//   E     += dt Q
//
// p, F, Q at the midpoint; the pressure on the walls, p (A_r - A_l), is taken off the momentum
// fluxes face by face, which keeps gas at rest at rest to the last bit. No division.
//
// p, force, heat: of CellMidpoint; areas of the faces in m2.
template <class Model, class Real, class Step>
PULSEWRIGHT_INLINE CellContent<Real> corrector(const Step& dt, const CellContent<Real>& old,
                                               const Real& area_l, const Real& area_r,
                                               const Real& inverse_volume, const Flux<Real>& left,
                                               const Flux<Real>& right, const Real& p,
                                               const Real& force, const Real& heat_rate) {
  const Real rate = dt * inverse_volume;
  const Real momentum_balance = area_l * (left.momentum - p) - area_r * (right.momentum - p);
  CellContent<Real> q{old.rho + rate * (area_l * left.mass - area_r * right.mass),
                      old.momentum + rate * momentum_balance,
                      old.energy + rate * (area_l * left.energy - area_r * right.energy),
                      old.burnt + rate * (area_l * left.burnt - area_r * right.burnt),
                      old.wall_heat};
  if constexpr (Model::walls) {
    const Real heat = dt * heat_rate;
    q.momentum = q.momentum + dt * force;
    q.energy = q.energy + heat;
    q.wall_heat = q.wall_heat + heat;
  }
  return q;
}

}  // namespace pulsewright::solver
