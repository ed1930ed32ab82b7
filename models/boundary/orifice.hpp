// Quasi-steady flow between a pipe end and a reservoir (cylinder, atmosphere, junction) through an
// orifice whose effective area is phi times the pipe's area. Poppet valve, open end, orifice
// plate and the branch port of a junction are all this one element.
//
// Gas that enters the pipe: isentropic from the reservoir (p0, h0) to the throat, throat pressure
// = pipe end pressure, mixing at constant stagnation enthalpy:
//     rho* v* = phi m(p0, h0, p*),      h(T*) + v*^2 / 2 = h0,      v* = v*(p*) of the pipe's wave
//   Where the end would be supersonic, mass flow and stagnation enthalpy are kept and the end is
//   kept at Mach 1 (nothing can travel upstream beyond it).
// Gas that leaves the pipe: isentropic from the pipe's own stagnation state to the reservoir
//   pressure; phi = 1: p* = p0, or the sonic point of the rarefaction where that is higher.
// Direction: the pressure p_wall that would stop the gas at the end, against p0.
// One flux serves both sides.
//
// A reservoir may be an impedance boundary: its pressure falls with the velocity into the pipe
// (Reservoir::impedance), solved together with the wave.
//
// Sources: Benson (1982), chapter 4 (constant-pressure valve); Winterbone & Pearson (2000), chapter
// 3.
// Valid for any subsonic or sonic orifice, 0 <= phi <= 1.
#pragma once

#include "models/boundary/nozzle.hpp"
#include "solver/pipe/characteristics.hpp"
#include "solver/riemann/end_wave.hpp"
#include "solver/simd/root_finder.hpp"

namespace pulsewright::models {

// Flux at a pipe end, per unit of pipe area, counted into the pipe.
template <class Real>
struct EndFlux {
  Real mass;           // kg/(m2 s)
  Real momentum;       // Pa, rho v^2 + p
  Real energy;         // W/m2
  Real burnt;          // kg/(m2 s)
  Real p;              // Pa, static pressure at the end
  Real v;              // m/s, velocity into the pipe
  Real sonic_limited;  // 1 where the end is kept at Mach 1, else 0
};

// As the pipe counts it: inward = +1 at a left end, -1 at a right end.
inline solver::Flux<double> as_pipe_flux(const EndFlux<double>& f, double inward) {
  return {inward * f.mass, f.momentum, inward * f.energy, inward * f.burnt};
}

// The same as a boundary state for the method of characteristics. inward as above.
inline solver::CharacteristicPipe::End state_at_end(const solver::Gas& gas,
                                                    const EndFlux<double>& f, double inward) {
  solver::CharacteristicPipe::End end{f.p, inward * f.v, f.mass > 0 && f.v > 0, 0, 0};
  if (end.enters) {
    end.Y = f.burnt / f.mass;
    end.T = gas.temperature_from_enthalpy(f.energy / f.mass - 0.5 * f.v * f.v, end.Y);
  }
  return end;
}

namespace detail {

template <class Real>
inline EndFlux<Real> entering(const Reservoir<Real>& from, const Real& p, const Real& v,
                              const Real& rho) {
  const Real mass = rho * v;
  return {mass, mass * v + p, mass * from.h_total, mass * from.Y, p, v, Real(0.0)};
}

// Sonic-limited: kept at Mach 1 with a given mass flux.
template <class Real>
inline EndFlux<Real> sonic_limited_inflow(const solver::Gas& gas, const Reservoir<Real>& from,
                                          const SonicPoint<Real>& sonic, const Real& mass) {
  const Real p = mass * gas.gas_constant(from.Y) * sonic.T / sonic.c;
  return {mass, mass * sonic.c + p, mass * from.h_total, mass * from.Y, p, sonic.c, Real(1.0)};
}

template <class Real>
inline EndFlux<Real> leaving(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                             const Real& p, const Real& v, const Real& rho) {
  const Real T = p / (rho * gas.gas_constant(wave.Y));
  const Real mass = rho * v;
  const Real energy = mass * (gas.enthalpy(T, wave.Y) + 0.5 * v * v);
  return {mass, mass * v + p, energy, mass * wave.Y, p, v, Real(0.0)};
}

template <class Real>
inline EndFlux<Real> leaving(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                             const Real& p) {
  const auto [v, rho] = wave.behind(p);
  return leaving(gas, wave, p, Real(v), Real(rho));
}

// Pressure at which the pipe's wave meets the characteristic of an impedance boundary, on outflow.
template <class Real>
inline Real pressure_at_impedance(const solver::EndWave<Real>& wave, const Reservoir<Real>& into,
                                  const Real& p_wall) {
  if (!solver::any(into.impedance > 0.0)) return into.p;
  const auto residual = [&](const Real& p) {
    const auto [v, rise] = wave.velocity_and_slope(p, solver::log(Real(p / wave.p)));
    return solver::ValueAndSlope<Real>{p - into.pressure_at(v), 1.0 + into.impedance * rise};
  };
  const Real impedance_ratio = into.impedance / (wave.rho * wave.c);
  const Real guess =
      (into.pressure_at(wave.v) + impedance_ratio * wave.p) / (1.0 + impedance_ratio);
  return solver::root_safeguarded_newton(residual, into.p, p_wall, guess, wave.p);
}

template <class Mask, class Real>
inline EndFlux<Real> select(const Mask& mask, const EndFlux<Real>& a, const EndFlux<Real>& b) {
  using solver::select;
  return {select(mask, a.mass, b.mass),
          select(mask, a.momentum, b.momentum),
          select(mask, a.energy, b.energy),
          select(mask, a.burnt, b.burnt),
          select(mask, a.p, b.p),
          select(mask, a.v, b.v),
          select(mask, a.sonic_limited, b.sonic_limited)};
}

// solver::select_lazy() for fluxes.
template <class Mask, class A, class B>
inline auto select_lazy(const Mask& mask, A&& a, B&& b) {
  if constexpr (std::is_same_v<Mask, bool>) {
    return mask ? a() : b();
  } else {
    if (!solver::any(mask)) return b();
    if (!solver::any(!mask)) return a();
    return select(mask, a(), b());
  }
}

}  // namespace detail

// A wall: the gas is stopped exactly.
template <class Real>
inline EndFlux<Real> flow_at_wall(const Real& p_wall) {
  return {Real(0.0), p_wall, Real(0.0), Real(0.0), p_wall, Real(0.0), Real(0.0)};
}
template <class Real>
inline EndFlux<Real> flow_at_wall(const solver::EndWave<Real>& wave) {
  return flow_at_wall(wave.wall_pressure());
}

// Into the pipe through phi times its area. guess: pressure at the end, Pa, from which the
// iteration starts; 0 = start from the linear estimate.
template <class Real>
inline EndFlux<Real> flow_entering(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                   const Supply<Real>& supply, const Real& p_wall, const Real& phi,
                                   const Real& guess = Real(0.0)) {
  using solver::max;
  using solver::min;
  using solver::sqrt;
  const Reservoir<Real>& from = supply.from;
  const SonicPoint<Real>& sonic = supply.sonic;
  const Real p_sonic = wave.pressure(sonic.c);
  const Real p_feeding = from.pressure_at(sonic.c);
  const Real choked = phi * supply.choked * (p_feeding / from.p);
  // At the pressure that makes the end sonic, the nozzle still passes more mass than the wave.
  const auto supersonic =
      p_sonic < p_feeding && p_sonic * sonic.c < choked * gas.gas_constant(from.Y) * sonic.T;
  return detail::select_lazy(
      supersonic, [&] { return detail::sonic_limited_inflow(gas, from, sonic, choked); },
      [&] {
        // Mass flux of the wave against that of the nozzle, as squares, which are smooth. d/dp of
        // the mass flux p v / (R T) at constant stagnation enthalpy, dT = -v dv / cp.
        const Real R = gas.gas_constant(from.Y);
        const Real log_step = solver::log(Real(from.p / wave.p));
        const bool has_impedance = solver::any(from.impedance > 0.0);
        Real last_p, last_v, last_rise;
        const auto residual = [&](const Real& p) {
          const Real log_p = solver::log(Real(p / from.p));
          const auto [v, rise] = wave.velocity_and_slope(p, Real(log_p + log_step));
          last_p = p;
          last_v = v;
          last_rise = rise;
          const Real T = gas.temperature_from_enthalpy(Real(from.h_total - 0.5 * v * v), from.Y);
          const Real mass = p / (R * T) * v;
          // With an impedance the reservoir's pressure may fall to nothing within the bracket,
          // never at the root: kept positive, where it no longer changes with p.
          const Real fed = from.pressure_at(v);
          const Real least = 1e-6 * from.p;
          const Real p0 = has_impedance ? Real(max(fed, least)) : from.p;
          const Real log_p0 = has_impedance ? solver::log(Real(p0 / from.p)) : Real(0.0);
          const auto nozzle =
              nozzle_flux_squared(supply.gamma, supply.critical, p0,
                                  Real(supply.rho * (p0 / from.p)), p, Real(log_p - log_p0));
          // The nozzle's square is homogeneous, of degree 2, in p0 and p.
          const Real by_p0 =
              has_impedance
                  ? solver::select(fed > least, Real((2.0 * nozzle.value - p * nozzle.slope) / p0),
                                   Real(0.0))
                  : Real(0.0);
          const Real slope = (v + p * rise * (1.0 + v * v / (gas.cp(T, from.Y) * T))) / (R * T);
          return solver::ValueAndSlope<Real>{
              mass * mass - phi * phi * nozzle.value,
              2.0 * mass * slope - phi * phi * (nozzle.slope - by_p0 * from.impedance * rise)};
        };
        // Guess: linear wave, incompressible nozzle. With y = sqrt(p0 - p):
        // (p0 - p_wall) - y^2 = 2 b y.
        const Real speed = phi * sqrt(2.0 / supply.rho);  // m/s for y = 1
        const Real b = 0.5 * speed * (wave.rho * wave.c + from.impedance);
        const Real gap = from.p - p_wall;
        const Real y = gap / (b + sqrt(b * b + gap) + 1e-300);
        // Supersonic lanes have no root.
        const Real highest = solver::select(supersonic, p_wall, Real(min(from.p, p_sonic)));
        const Real first = from.pressure_at(speed * y) - y * y;
        const Real p = solver::root_safeguarded_newton(residual, p_wall, max(p_wall, highest),
                                                       solver::select(guess > 0.0, guess, first),
                                                       Real(choked * choked));
        // The last step is so short that the slope gives the velocity to the last bits.
        const Real v = last_v + last_rise * (p - last_p);
        const Real T = gas.temperature_from_enthalpy(Real(from.h_total - 0.5 * v * v), from.Y);
        return detail::entering(from, p, v, Real(p / (R * T)));
      });
}

// Out of the pipe through phi times its area, into a reservoir. guess as above.
template <class Real>
inline EndFlux<Real> flow_leaving(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                  const Reservoir<Real>& into, const Real& p_wall, const Real& phi,
                                  const Real& guess = Real(0.0)) {
  using solver::max;
  using solver::sqrt;
  const Real R = gas.gas_constant(wave.Y);
  return detail::select_lazy(
      phi >= 1.0,
      [&] {
        // Expansion to a vacuum counts as supersonic below.
        const Real p = max(detail::pressure_at_impedance(wave, into, p_wall), Real(1e-9 * wave.p));
        const auto gas_there = wave.behind(p);
        const auto supersonic = -gas_there.v > sqrt(Real(wave.gamma * p / gas_there.rho));
        return detail::select_lazy(
            supersonic,
            [&] {
              const Real lowest = wave.sonic_outflow_pressure();
              return detail::leaving(gas, wave, Real(max(p, lowest)));
            },
            [&] { return detail::leaving(gas, wave, p, gas_there.v, gas_there.rho); });
      },
      [&] {
        const Real lowest = wave.sonic_outflow_pressure();
        const CriticalRatio<Real> critical(wave.gamma);
        const Real exponent = wave.gamma / (wave.gamma - 1.0);
        const Real log_step = solver::log(Real(into.p / wave.p));
        const bool has_impedance = solver::any(into.impedance > 0.0);
        Real last_p;
        typename solver::EndWave<Real>::BehindAndSlopes last;
        const auto residual = [&](const Real& p_star) {
          const Real log_p = solver::log(Real(p_star / wave.p));
          last_p = p_star;
          last = wave.behind_and_slopes(p_star, log_p);
          const auto& [v, rho, v_slope, rho_slope] = last;
          const Real mass = rho * v;
          const Real T = p_star / (rho * R);
          const Real T0 =
              gas.temperature_from_enthalpy(Real(gas.enthalpy(T, wave.Y) + 0.5 * v * v), wave.Y);
          const Real log_rise = exponent * solver::log(Real(T0 / T));
          const Real p0 = p_star * solver::exp(log_rise);
          const Real rho0 = p0 / (R * T0);
          const Real p_back = into.pressure_at(v);
          const Real log_back = has_impedance ? solver::log(Real(p_back / wave.p)) : log_step;
          const auto nozzle = nozzle_flux_squared(wave.gamma, critical, p0, rho0, p_back,
                                                  Real(log_back - (log_p + log_rise)));
          // Logarithmic slopes of T, T0, p0 by p*; the nozzle's square goes with p0 rho0 and
          // p_back / p0.
          const Real in_T = 1.0 / p_star - rho_slope / rho;
          const Real in_T0 =
              (gas.cp(T, wave.Y) * T * in_T + v * v_slope) / (gas.cp(T0, wave.Y) * T0);
          const Real in_p0 = 1.0 / p_star + exponent * (in_T0 - in_T);
          const Real nozzle_slope = nozzle.value * (2.0 * in_p0 - in_T0) -
                                    nozzle.slope * (into.impedance * v_slope + p_back * in_p0);
          return solver::ValueAndSlope<Real>{
              phi * phi * nozzle.value - mass * mass,
              phi * phi * nozzle_slope - 2.0 * mass * (rho_slope * v + rho * v_slope)};
        };
        // Guess as above: s^2 + 2 b s = 2 phi^2 (p_wall - p_back) / rho for the speed s.
        const Real b = phi * phi * (wave.c + into.impedance / wave.rho);
        const Real q = 2.0 * phi * phi * (p_wall - into.p) / wave.rho;
        const Real s = q / (b + sqrt(b * b + q) + 1e-300);
        const Real first = p_wall - wave.rho * wave.c * s;
        const Real most = phi * wave.rho * wave.c;
        const Real p = solver::root_safeguarded_newton(
            residual, lowest, p_wall, solver::select(guess > 0.0, guess, first), Real(most * most));
        // As above.
        return detail::leaving(gas, wave, p, Real(last.v + last.v_slope * (p - last_p)),
                               Real(last.rho + last.rho_slope * (p - last_p)));
      });
}

// phi_into_pipe: effective area for gas that enters the pipe over the pipe's area; phi_out_of_pipe:
// for gas that leaves it. Both 0..1.
template <class Real>
inline EndFlux<Real> flow_through_orifice(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                          const Reservoir<Real>& reservoir,
                                          const Real& phi_into_pipe, const Real& phi_out_of_pipe) {
  const Real p_wall = wave.wall_pressure();
  const auto leaves = p_wall > reservoir.p;
  const auto shut = solver::select(leaves, phi_out_of_pipe, phi_into_pipe) <= 0.0;
  return detail::select_lazy(
      shut, [&] { return flow_at_wall(wave); },
      [&] {
        return detail::select_lazy(
            leaves, [&] { return flow_leaving(gas, wave, reservoir, p_wall, phi_out_of_pipe); },
            [&] {
              return flow_entering(gas, wave, Supply<Real>(gas, reservoir), p_wall, phi_into_pipe);
            });
      });
}
template <class Real>
inline EndFlux<Real> flow_through_orifice(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                          const Supply<Real>& supply, const Real& phi_into_pipe,
                                          const Real& phi_out_of_pipe) {
  const Real p_wall = wave.wall_pressure();
  return detail::select_lazy(
      p_wall > supply.from.p,
      [&] { return flow_leaving(gas, wave, supply.from, p_wall, phi_out_of_pipe); },
      [&] { return flow_entering(gas, wave, supply, p_wall, phi_into_pipe); });
}

// The end has the static pressure of the reservoir in both directions, Mach 1 at most:
// the classical constant-pressure junction, Benson (1982), chapter 6. Gas that leaves does so as
// through an orifice of the pipe's area.
template <class Real>
inline EndFlux<Real> flow_entering_at_static_pressure(const solver::Gas& gas,
                                                      const solver::EndWave<Real>& wave,
                                                      const Reservoir<Real>& from) {
  const SonicPoint<Real> sonic = sonic_point(gas, from.h_total, from.Y);
  const Real v = wave.velocity(from.p);
  return detail::select_lazy(
      v > sonic.c,
      [&] {
        const Real mass = from.p / (gas.gas_constant(from.Y) * sonic.T) * sonic.c;
        return detail::sonic_limited_inflow(gas, from, sonic, mass);
      },
      [&] {
        const Real T = gas.temperature_from_enthalpy(Real(from.h_total - 0.5 * v * v), from.Y);
        return detail::entering(from, from.p, v, Real(from.p / (gas.gas_constant(from.Y) * T)));
      });
}

template <class Real>
inline EndFlux<Real> flow_at_static_pressure(const solver::Gas& gas,
                                             const solver::EndWave<Real>& wave,
                                             const Reservoir<Real>& reservoir) {
  const Real p_wall = wave.wall_pressure();
  return detail::select_lazy(
      p_wall > reservoir.p, [&] { return flow_leaving(gas, wave, reservoir, p_wall, Real(1.0)); },
      [&] { return flow_entering_at_static_pressure(gas, wave, reservoir); });
}

// No reflection: gas at rest at p_ref lies beyond the end, joined by isentropic simple waves.
// With X = (p*/p)^((gamma-1)/(2 gamma)) both Riemann invariants are linear in X; e.g. Whitham,
// Linear and Nonlinear Waves (1974), chapter 6. Exact for isentropic waves on gas of one entropy.
// Gas leaves at Mach 1 at most, at the sonic point of the fan; outflow that is
// supersonic in the pipe leaves unchanged, because no wave travels upstream.
//
// Inflow has the entropy and the composition of `beyond`, the mean of the pipe's last cell (its
// velocity is not used): the same gas continues outside. (The state at the
// very end is continued from the slope of the last cells; inflow with its entropy would
// amplify a temperature gradient.)
template <class Real>
inline EndFlux<Real> flow_without_reflection(const solver::Gas& gas,
                                             const solver::EndWave<Real>& wave, const Real& p_ref,
                                             const solver::EndWave<Real>& beyond) {
  const Real g = wave.gamma;
  const Real X_ref = solver::pow(Real(p_ref / wave.p), Real(0.5 * (g - 1.0) / g));
  const Real joined = 0.5 * (1.0 + X_ref - 0.5 * (g - 1.0) * wave.v / wave.c);
  const Real mach = -wave.v / wave.c;  // outwards
  const Real sonic = (2.0 + (g - 1.0) * mach) / (g + 1.0);
  const Real X = solver::select(mach >= 1.0, Real(1.0), Real(solver::max(joined, sonic)));
  const Real p = wave.p * solver::pow(X, Real(2.0 * g / (g - 1.0)));
  const Real v = wave.v + 2.0 * wave.c / (g - 1.0) * (X - 1.0);
  const auto inwards = v > 0.0;
  const Real rho = solver::select(
      inwards, Real(beyond.rho * solver::pow(Real(p / beyond.p), Real(1.0 / beyond.gamma))),
      Real(wave.rho * solver::pow(X, Real(2.0 / (g - 1.0)))));
  const Real Y = solver::select(inwards, beyond.Y, wave.Y);
  const Real T = p / (rho * gas.gas_constant(Y));
  const Real mass = rho * v;
  return {mass, mass * v + p, mass * (gas.enthalpy(T, Y) + 0.5 * v * v), mass * Y, p, v, Real(0.0)};
}

template <class Real>
inline EndFlux<Real> flow_without_reflection(const solver::Gas& gas,
                                             const solver::EndWave<Real>& wave, const Real& p_ref) {
  return flow_without_reflection(gas, wave, p_ref, wave);
}

}  // namespace pulsewright::models
