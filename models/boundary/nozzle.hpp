// Isentropic flow out of a reservoir through a nozzle.
//
// m = p0 sqrt(2 gamma / ((gamma-1) R T0) (r^(2/gamma) - r^((gamma+1)/gamma))), r = p/p0 not below
// the critical ratio (2/(gamma+1))^(gamma/(gamma-1)). Shapiro (1953), chapter 4. gamma is frozen at
// the stagnation temperature.
#pragma once

#include "solver/gas/gas.hpp"
#include "solver/simd/root_finder.hpp"

namespace pulsewright::models {

// The state beyond a pipe end.
template <class Real>
struct Reservoir {
  Real p;        // Pa, stagnation pressure of gas that comes out, back pressure to gas that goes in
  Real h_total;  // J/kg, stagnation enthalpy
  Real Y;        // burnt fraction of gas that comes out
  // Pa s/m, by how much p falls with the velocity into the pipe: an impedance boundary.
  Real impedance = Real(0.0);

  // Pressure that goes with the velocity v into the pipe, m/s.
  Real pressure_at(const Real& v) const { return p - impedance * v; }
};

// Critical pressure ratio of a nozzle, and its logarithm.
template <class Real>
struct CriticalRatio {
  Real log;
  Real ratio;
  explicit CriticalRatio(const Real& gamma)
      : log(gamma / (gamma - 1.0) * solver::log(Real(2.0 / (gamma + 1.0)))),
        ratio(solver::exp(log)) {}
};
template <class Real>
inline Real critical_ratio(const Real& gamma) {
  return CriticalRatio<Real>(gamma).ratio;
}

// Square of the mass flux through a nozzle, (kg/(m2 s))^2, and its slope by the pressure p beyond
// it; negative beyond p0, so that it runs on smoothly where the flux itself has a vertical tangent.
// p0, rho0: stagnation state; critical: of gamma; log_ratio: of p / p0.
template <class Real>
inline solver::ValueAndSlope<Real> nozzle_flux_squared(const Real& gamma,
                                                       const CriticalRatio<Real>& critical,
                                                       const Real& p0, const Real& rho0,
                                                       const Real& p, const Real& log_ratio) {
  const Real r = solver::max(Real(p / p0), critical.ratio);
  const Real exponent = (gamma - 1.0) / gamma;
  const Real x = solver::exp(Real(exponent * solver::max(log_ratio, critical.log)));
  const Real density_ratio = r / x;  // r^(1/gamma)
  const Real dynamic = 2.0 / exponent * p0 * rho0 * (density_ratio * density_ratio);
  const Real slope = dynamic / (r * p0) * ((2.0 - 2.0 * exponent) * (1.0 - x) - exponent * x);
  return {dynamic * (1.0 - x), solver::select(p > critical.ratio * p0, slope, Real(0.0))};
}

// The mass flux, 0 beyond p0.
template <class Real>
inline Real nozzle_mass_flux(const Real& gamma, const Real& p0, const Real& rho0, const Real& p) {
  const auto square = nozzle_flux_squared(gamma, CriticalRatio<Real>(gamma), p0, rho0, p,
                                          solver::log(Real(p / p0)));
  return solver::sqrt(solver::max(Real(0.0), square.value));
}

// Mach 1 reached from a stagnation enthalpy: h(T) + gamma R T / 2 = h0.
template <class Real>
struct SonicPoint {
  Real T;  // K
  Real c;  // m/s
};
template <class Real>
inline SonicPoint<Real> sonic_point(const solver::Gas& gas, const Real& h_total, const Real& Y) {
  const Real R = gas.gas_constant(Y);
  Real T = gas.temperature_from_enthalpy(h_total, Y);
  T = T * 2.0 / (gas.gamma(T, Y) + 1.0);
  for (int i = 0; i < 3; ++i) {
    const Real half_c2 = 0.5 * gas.gamma(T, Y) * R * T;
    T = T - (gas.enthalpy(T, Y) + half_c2 - h_total) / (gas.cp(T, Y) + half_c2 / T);
  }
  return {T, gas.sound_speed(T, Y)};
}

// The part of an outflow from a reservoir that does not depend on the pipe; worth keeping where a
// reservoir feeds several pipes or does not change.
template <class Real>
struct Supply {
  Reservoir<Real> from;
  Real gamma;  // frozen at the stagnation temperature
  Real rho;    // kg/m3, stagnation density
  CriticalRatio<Real> critical;
  SonicPoint<Real> sonic;
  Real choked;  // kg/(m2 s), mass flux of the choked nozzle

  Supply(const solver::Gas& gas, const Reservoir<Real>& reservoir)
      : Supply(gas, reservoir, gas.temperature_from_enthalpy(reservoir.h_total, reservoir.Y)) {}

 private:
  Supply(const solver::Gas& gas, const Reservoir<Real>& reservoir, const Real& T0)
      : from(reservoir),
        gamma(gas.gamma(T0, from.Y)),
        rho(from.p / (gas.gas_constant(from.Y) * T0)),
        critical(gamma),
        sonic(sonic_point(gas, from.h_total, from.Y)) {
    // r^(1/gamma) sqrt(2 gamma/(gamma-1) p0 rho0 (1 - x)) at x = 2/(gamma+1).
    const Real x = 2.0 / (gamma + 1.0);
    choked = critical.ratio / x * solver::sqrt(gamma * x * from.p * rho);
  }
};

}  // namespace pulsewright::models
