// State of the gas at a point of a pipe, and the flux through a face.
#pragma once

#include "solver/gas/gas.hpp"

namespace pulsewright::solver {

template <class Real>
struct Primitive {
  Real rho;  // kg/m3
  Real u;    // m/s, positive from the left end to the right end
  Real p;    // Pa
  Real Y;    // mass fraction of burnt gas
};

// Per unit area. energy is the total one: rho u (e + u^2 / 2) + p u.
template <class Real>
struct Flux {
  Real mass;      // kg/(m2 s)
  Real momentum;  // Pa
  Real energy;    // W/m2
  Real burnt;     // kg/(m2 s)
};

template <class Real>
PULSEWRIGHT_INLINE Real temperature_of(const Gas& gas, const Primitive<Real>& w) {
  return w.p / (w.rho * gas.gas_constant(w.Y));
}

// Primitive variables of a cell and what the next step takes from them.
template <class Real>
struct CellState {
  Real u, p, T, Y;
  Real inverse_rho;   // m3/kg
  Real gamma_less_1;  // R / cv
  Real c;             // m/s
};

// From the conserved densities per m3: kg, kg/(m2 s), J, kg. In plain (gas.hpp):
//
//   u = rho u / rho,   Y = rho Y / rho,   e = E / rho - u^2 / 2
//   T = 2 e / (a + sqrt(a^2 + 2 b e)),   a = cv_0(Y), b = cv_T(Y)
//   p = rho R T,   gamma - 1 = R / cv,   c^2 = gamma R T
//
// which is six divisions. The root in T(e) is cv at that temperature, so that 1/(a + cv) and 1/cv
// are taken as one: T = 2 e cv by_both, gamma - 1 = R (a + cv) by_both, by_both = 1/((a + cv) cv).
// Cost: 2 divisions, 2 square roots.
template <class Real>
PULSEWRIGHT_INLINE CellState<Real> cell_state(const Gas& gas, const Real& rho, const Real& momentum,
                                              const Real& energy_density,
                                              const Real& burnt_density) {
  const Real inverse = 1.0 / rho;
  const Real u = momentum * inverse;
  const Real Y = burnt_density * inverse;
  const Real internal = energy_density * inverse - 0.5 * u * u;
  const Real a = gas.cv_0(Y);
  const Real cv = sqrt(a * a + 2.0 * gas.cv_T(Y) * internal);
  const Real sum = a + cv;
  const Real by_both = 1.0 / (sum * cv);
  const Real T = 2.0 * internal * (cv * by_both);
  const Real R = gas.gas_constant(Y);
  const Real RT = R * T;
  const Real gamma_less_1 = R * (sum * by_both);
  return {u, rho * RT, T, Y, inverse, gamma_less_1, sqrt((1.0 + gamma_less_1) * RT)};
}

// The same for constant gamma: p = (gamma - 1) rho e, T = e / cv. Cost: 1 division, 1 square root.
template <class Real>
PULSEWRIGHT_INLINE CellState<Real> cell_state(const GasOfConstantGamma& gas, const Real& rho,
                                              const Real& momentum, const Real& energy_density,
                                              const Real& burnt_density) {
  const Real inverse = 1.0 / rho;
  const Real u = momentum * inverse;
  const Real internal = energy_density * inverse - 0.5 * u * u;
  const Real p_by_rho = gas.gamma_less_1 * internal;
  return {u,       rho * p_by_rho,         internal * gas.by_cv,      burnt_density * inverse,
          inverse, Real(gas.gamma_less_1), sqrt(gas.gamma * p_by_rho)};
}

// The physical flux of the Euler equations, Toro (2009), eq. (1.98), with the burnt fraction
// carried along. internal: energy in J/kg.
template <class Real>
PULSEWRIGHT_INLINE Flux<Real> physical_flux(const Primitive<Real>& w, const Real& internal) {
  const Real mass = w.rho * w.u;
  return {mass, mass * w.u + w.p, mass * (internal + 0.5 * w.u * w.u) + w.u * w.p, mass * w.Y};
}
template <class Real>
PULSEWRIGHT_INLINE Flux<Real> physical_flux(const Gas& gas, const Primitive<Real>& w) {
  return physical_flux(w, Real(gas.internal(temperature_of(gas, w), w.Y)));
}

}  // namespace pulsewright::solver
