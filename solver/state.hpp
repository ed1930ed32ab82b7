// State of the gas at a point of a pipe, and the flux through a face.
#pragma once

#include "solver/gas.hpp"

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

template <class Real>
PULSEWRIGHT_INLINE Real sound_speed_of(const Gas& gas, const Primitive<Real>& w) {
  return sqrt(gas.gamma(temperature_of(gas, w), w.Y) * w.p / w.rho);
}

// The physical flux of the Euler equations, Toro (2009), eq. (1.98), with the burnt fraction
// carried along.
template <class Real>
PULSEWRIGHT_INLINE Flux<Real> physical_flux(const Gas& gas, const Primitive<Real>& w) {
  const Real mass = w.rho * w.u;
  const Real h_total = gas.enthalpy(temperature_of(gas, w), w.Y) + 0.5 * w.u * w.u;
  return {mass, mass * w.u + w.p, mass * h_total, mass * w.Y};
}

}  // namespace pulsewright::solver
