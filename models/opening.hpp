// Quasi-steady flow between a pipe end and a reservoir (cylinder, atmosphere, junction) through an
// opening whose effective area is a share phi of the pipe's area. Poppet valve, open end, orifice
// and the mouth of a pipe at a junction are all this one element.
//
// Gas that enters the pipe: isentropic from the reservoir (p0, h0) to the throat, throat pressure
// = pipe end pressure, mixing at constant stagnation enthalpy:
//     rho* v* = phi m(p0, h0, p*),      h(T*) + v*^2 / 2 = h0,      v* = v*(p*) of the pipe's wave
//   Where the end would turn supersonic, mass flow and stagnation enthalpy are kept and the end is
//   held at Mach 1 (nothing can travel upstream beyond it).
// Gas that leaves the pipe: isentropic from the pipe's own stagnation state to the reservoir
//   pressure; phi = 1: p* = p0, or the sonic point of the rarefaction where that is higher.
// Direction: the pressure p_wall that would stop the gas at the end, against p0.
// One flux serves both sides.
//
// m = p0 sqrt(2 gamma / ((gamma-1) R T0) (r^(2/gamma) - r^((gamma+1)/gamma))), r = p/p0 not below
// the critical ratio (2/(gamma+1))^(gamma/(gamma-1)).
// Sources: Benson (1982), chapter 4 (constant-pressure valve); Winterbone & Pearson (2000), chapter
// 3; nozzle: Shapiro (1953), chapter 4. gamma is frozen at the stagnation temperature.
// Valid for any subsonic or sonic opening, 0 <= phi <= 1.
#pragma once

#include "solver/characteristics.hpp"
#include "solver/rising_root.hpp"
#include "solver/wave.hpp"

namespace pulsewright::models {

// What a pipe end faces. p: stagnation pressure of gas that comes out, back pressure to gas that
// goes in (Pa); h_total: stagnation enthalpy (J/kg); Y: burnt fraction of gas that comes out.
template <class Real>
struct Reservoir {
  Real p;
  Real h_total;
  Real Y;
};

// Flux at a pipe end, per unit of pipe area, counted into the pipe.
template <class Real>
struct EndFlux {
  Real mass;      // kg/(m2 s)
  Real momentum;  // Pa, rho v^2 + p
  Real energy;    // W/m2
  Real burnt;     // kg/(m2 s)
  Real p;         // Pa, static pressure at the end
  Real v;         // m/s, velocity into the pipe
  Real held;      // 1 where the end is held at Mach 1, else 0
};

// As the pipe counts it: inward = +1 at a left end, -1 at a right end.
inline solver::Flux<double> as_duct_flux(const EndFlux<double>& f, double inward) {
  return {inward * f.mass, f.momentum, inward * f.energy, inward * f.burnt};
}

// What the method of characteristics takes from it. inward as above.
inline solver::CharacteristicPipe::End state_at_end(const solver::Gas& gas,
                                                    const EndFlux<double>& f, double inward) {
  solver::CharacteristicPipe::End end{f.p, inward * f.v, f.mass > 0 && f.v > 0, 0, 0};
  if (end.enters) {
    end.Y = f.burnt / f.mass;
    end.T = gas.temperature_from_enthalpy(f.energy / f.mass - 0.5 * f.v * f.v, end.Y);
  }
  return end;
}

// Critical pressure ratio of a nozzle.
template <class Real>
inline Real critical_ratio(const Real& gamma) {
  return solver::pow(Real(2.0 / (gamma + 1.0)), Real(gamma / (gamma - 1.0)));
}

// Mass flux through a nozzle, kg/(m2 s), and its slope by the pressure p beyond it. p0, rho0:
// stagnation state; critical: critical_ratio(gamma).
template <class Real>
inline solver::ValueAndSlope<Real> nozzle_mass_flux_and_slope(const Real& gamma,
                                                              const Real& critical, const Real& p0,
                                                              const Real& rho0, const Real& p) {
  using solver::max;
  using solver::min;
  const Real r = min(max(Real(p / p0), critical), Real(1.0));
  const Real share = (gamma - 1.0) / gamma;
  const Real x = solver::pow(r, share);
  const Real density_ratio = r / x;  // r^(1/gamma)
  const Real left = max(Real(0.0), Real(1.0 - x));
  const Real flux = density_ratio * solver::sqrt(2.0 / share * p0 * rho0 * left);
  const Real slope = flux / (r * p0) * (1.0 - share - 0.5 * share * x / max(left, Real(1e-300)));
  return {flux, solver::select(p > critical * p0, slope, Real(0.0))};
}

// The mass flux alone.
template <class Real>
inline Real nozzle_mass_flux(const Real& gamma, const Real& critical, const Real& p0,
                             const Real& rho0, const Real& p) {
  return nozzle_mass_flux_and_slope(gamma, critical, p0, rho0, p).value;
}
template <class Real>
inline Real nozzle_mass_flux(const Real& gamma, const Real& p0, const Real& rho0, const Real& p) {
  return nozzle_mass_flux(gamma, critical_ratio(gamma), p0, rho0, p);
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

// What flow out of a reservoir needs and does not depend on the pipe; worth keeping where a
// reservoir feeds several pipes or does not change.
template <class Real>
struct Supply {
  Reservoir<Real> from;
  Real gamma;     // frozen at the stagnation temperature
  Real rho;       // kg/m3, stagnation density
  Real critical;  // pressure ratio
  Real choked;    // kg/(m2 s), mass flux of the choked nozzle
  SonicPoint<Real> sonic;

  Supply(const solver::Gas& gas, const Reservoir<Real>& reservoir) : from(reservoir) {
    const Real T0 = gas.temperature_from_enthalpy(from.h_total, from.Y);
    gamma = gas.gamma(T0, from.Y);
    critical = critical_ratio(gamma);
    sonic = sonic_point(gas, from.h_total, from.Y);
    rho = from.p / (gas.gas_constant(from.Y) * T0);
    choked = choked_flux();
  }
  // The same gas at another stagnation pressure, Pa.
  Supply at_pressure(const Real& p) const {
    Supply other = *this;
    other.rho = rho * (p / from.p);
    other.from.p = p;
    other.choked = other.choked_flux();
    return other;
  }

 private:
  // r^(1/gamma) sqrt(2 gamma/(gamma-1) p0 rho0 (1 - x)) at x = 2/(gamma+1).
  Real choked_flux() const {
    const Real x = 2.0 / (gamma + 1.0);
    return critical / x * solver::sqrt(gamma * x * from.p * rho);
  }
};

namespace detail {

template <class Real>
inline EndFlux<Real> entering(const Reservoir<Real>& from, const Real& p, const Real& v,
                              const Real& rho) {
  const Real mass = rho * v;
  return {mass, mass * v + p, mass * from.h_total, mass * from.Y, p, v, Real(0.0)};
}

// Held at Mach 1 with a given mass flux.
template <class Real>
inline EndFlux<Real> held_sonic(const solver::Gas& gas, const Reservoir<Real>& from,
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

template <class Mask, class Real>
inline EndFlux<Real> pick(const Mask& mask, const EndFlux<Real>& a, const EndFlux<Real>& b) {
  using solver::select;
  return {select(mask, a.mass, b.mass),     select(mask, a.momentum, b.momentum),
          select(mask, a.energy, b.energy), select(mask, a.burnt, b.burnt),
          select(mask, a.p, b.p),           select(mask, a.v, b.v),
          select(mask, a.held, b.held)};
}

// choose() for fluxes.
template <class Mask, class A, class B>
inline auto either(const Mask& mask, A&& a, B&& b) {
  if constexpr (std::is_same_v<Mask, bool>) {
    return mask ? a() : b();
  } else {
    return pick(mask, a(), b());
  }
}

}  // namespace detail

// A wall: the gas is stopped exactly.
template <class Real>
inline EndFlux<Real> flow_at_wall(const solver::EndWave<Real>& wave) {
  const Real p = wave.wall_pressure();
  return {Real(0.0), p, Real(0.0), Real(0.0), p, Real(0.0), Real(0.0)};
}

// Into the pipe through a share phi of its area.
template <class Real>
inline EndFlux<Real> flow_entering(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                   const Supply<Real>& supply, const Real& p_wall,
                                   const Real& phi) {
  using solver::max;
  using solver::min;
  using solver::sqrt;
  const Reservoir<Real>& from = supply.from;
  const SonicPoint<Real>& sonic = supply.sonic;
  const Real p_sonic = wave.pressure(sonic.c);
  const Real choked = phi * supply.choked;
  // At the pressure that makes the end sonic, the nozzle still offers more than the pipe takes.
  const auto too_fast =
      p_sonic < from.p && p_sonic * sonic.c < choked * gas.gas_constant(from.Y) * sonic.T;
  return detail::either(
      too_fast, [&] { return detail::held_sonic(gas, from, sonic, choked); },
      [&] {
        EndFlux<Real> flux{};
        // d/dp of the mass flux p v / (R T) at constant stagnation enthalpy, dT = -v dv / cp, less
        // that of the nozzle.
        const Real R = gas.gas_constant(from.Y);
        const auto surplus = [&](const Real& p) {
          const auto [v, rise] = wave.velocity_and_slope(p);
          const Real T = gas.temperature_from_enthalpy(Real(from.h_total - 0.5 * v * v), from.Y);
          flux = detail::entering(from, p, Real(v), Real(p / (R * T)));
          const auto nozzle =
              nozzle_mass_flux_and_slope(supply.gamma, supply.critical, from.p, supply.rho, p);
          const Real slope = (v + p * rise * (1.0 + v * v / (gas.cp(T, from.Y) * T))) / (R * T);
          return solver::ValueAndSlope<Real>{flux.mass - phi * nozzle.value,
                                             slope - phi * nozzle.slope};
        };
        // Guess: linear wave, incompressible nozzle. With y = sqrt(p0 - p):
        // (p0 - p_wall) - y^2 = 2 b y.
        const Real impedance = wave.rho * wave.c;
        const Real b = 0.5 * phi * impedance * sqrt(2.0 / supply.rho);
        const Real gap = from.p - p_wall;
        const Real y = gap / (b + sqrt(b * b + gap) + 1e-300);
        const Real highest = min(from.p, p_sonic);
        solver::rising_root(surplus, p_wall, max(p_wall, highest), Real(from.p - y * y), Real(1.0),
                            Real(supply.rho * sonic.c));
        return flux;
      });
}

// Out of the pipe through a share phi of its area, against the pressure p_back.
template <class Real>
inline EndFlux<Real> flow_leaving(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                  const Real& p_back, const Real& p_wall, const Real& phi) {
  using solver::max;
  using solver::pow;
  using solver::sqrt;
  const Real lowest = wave.sonic_outflow_pressure();
  const Real R = gas.gas_constant(wave.Y);
  return detail::either(
      phi >= 1.0, [&] { return detail::leaving(gas, wave, Real(max(p_back, lowest))); },
      [&] {
        const Real critical = critical_ratio(wave.gamma);
        EndFlux<Real> flux{};
        const auto surplus = [&](const Real& p_star) {
          const auto [v, rho] = wave.behind(p_star);
          flux = detail::leaving(gas, wave, p_star, Real(v), Real(rho));
          const Real T = p_star / (rho * R);
          const Real T0 =
              gas.temperature_from_enthalpy(Real(gas.enthalpy(T, wave.Y) + 0.5 * v * v), wave.Y);
          const Real p0 = p_star * pow(Real(T0 / T), Real(wave.gamma / (wave.gamma - 1.0)));
          const Real rho0 = p0 / (R * T0);
          return Real(flux.mass + phi * nozzle_mass_flux(wave.gamma, critical, p0, rho0, p_back));
        };
        // Guess as above: s^2 + 2 b s = 2 phi^2 (p_wall - p_back) / rho for the speed s.
        const Real b = phi * phi * wave.c;
        const Real q = 2.0 * phi * phi * (p_wall - p_back) / wave.rho;
        const Real s = q / (b + sqrt(b * b + q) + 1e-300);
        const Real slope = (1.0 + phi * phi * wave.c / max(s, Real(1e-9 * wave.c))) / wave.c;
        solver::rising_root(surplus, lowest, p_wall, Real(p_wall - wave.rho * wave.c * s), slope,
                            Real(wave.rho * wave.c));
        return flux;
      });
}

// phi_in: effective area for gas that enters the pipe over the pipe's area; phi_out: for gas that
// leaves it. Both 0..1.
template <class Real>
inline EndFlux<Real> flow_through_opening(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                          const Reservoir<Real>& reservoir, const Real& phi_in,
                                          const Real& phi_out) {
  const Real p_wall = wave.wall_pressure();
  const auto leaves = p_wall > reservoir.p;
  const auto shut = solver::select(leaves, phi_out, phi_in) <= 0.0;
  return detail::either(
      shut, [&] { return flow_at_wall(wave); },
      [&] {
        return detail::either(
            leaves, [&] { return flow_leaving(gas, wave, reservoir.p, p_wall, phi_out); },
            [&] { return flow_entering(gas, wave, Supply<Real>(gas, reservoir), p_wall, phi_in); });
      });
}
template <class Real>
inline EndFlux<Real> flow_through_opening(const solver::Gas& gas, const solver::EndWave<Real>& wave,
                                          const Supply<Real>& supply, const Real& phi_in,
                                          const Real& phi_out) {
  const Real p_wall = wave.wall_pressure();
  return detail::either(
      p_wall > supply.from.p,
      [&] { return flow_leaving(gas, wave, supply.from.p, p_wall, phi_out); },
      [&] { return flow_entering(gas, wave, supply, p_wall, phi_in); });
}

// The end is held at the static pressure of the reservoir in either direction, Mach 1 at most:
// the classical constant-pressure junction, Benson (1982), chapter 6.
template <class Real>
inline EndFlux<Real> flow_at_static_pressure(const solver::Gas& gas,
                                             const solver::EndWave<Real>& wave,
                                             const Supply<Real>& supply) {
  const Reservoir<Real>& reservoir = supply.from;
  const SonicPoint<Real>& sonic = supply.sonic;
  const Real p_wall = wave.wall_pressure();
  return detail::either(
      p_wall > reservoir.p, [&] { return flow_leaving(gas, wave, reservoir.p, p_wall, Real(1.0)); },
      [&] {
        const Real v = wave.velocity(reservoir.p);
        return detail::either(
            v > sonic.c,
            [&] {
              const Real mass = reservoir.p / (gas.gas_constant(reservoir.Y) * sonic.T) * sonic.c;
              return detail::held_sonic(gas, reservoir, sonic, mass);
            },
            [&] {
              const Real T =
                  gas.temperature_from_enthalpy(Real(reservoir.h_total - 0.5 * v * v), reservoir.Y);
              const Real rho = reservoir.p / (gas.gas_constant(reservoir.Y) * T);
              return detail::entering(reservoir, reservoir.p, v, rho);
            });
      });
}

// No reflection: gas at rest at p_ref lies beyond the end, joined by isentropic simple waves.
// With X = (p*/p)^((gamma-1)/(2 gamma)) both Riemann invariants are linear in X; e.g. Whitham,
// Linear and Nonlinear Waves (1974), chapter 6. Exact for isentropic waves on gas of one entropy.
// Gas leaves at Mach 1 at most, at the sonic point of the fan; what the pipe itself brings at Mach
// 1 or more leaves as it is, because no wave runs up against it.
//
// Gas that comes in has the entropy and the composition of `beyond`, which only these are taken
// from: the mean of the pipe's last cell, as if more of the same lay outside. (The state at the
// very end is continued from the slope of the last cells; to let gas in with its entropy would let
// a gradient of temperature feed itself.)
template <class Real>
inline EndFlux<Real> flow_without_reflection(const solver::Gas& gas,
                                             const solver::EndWave<Real>& wave, const Real& p_ref,
                                             const solver::EndWave<Real>& beyond) {
  using solver::pow;
  const Real g = wave.gamma;
  const Real X_ref = pow(Real(p_ref / wave.p), Real(0.5 * (g - 1.0) / g));
  const Real met = 0.5 * (1.0 + X_ref - 0.5 * (g - 1.0) * wave.v / wave.c);
  const Real mach = -wave.v / wave.c;  // outwards
  const Real sonic = (2.0 + (g - 1.0) * mach) / (g + 1.0);
  const Real X = solver::select(mach >= 1.0, Real(1.0), Real(solver::max(met, sonic)));
  const Real p = wave.p * pow(X, Real(2.0 * g / (g - 1.0)));
  const Real v = wave.v + 2.0 * wave.c / (g - 1.0) * (X - 1.0);
  const auto inwards = v > 0.0;
  const Real rho =
      solver::select(inwards, Real(beyond.rho * pow(Real(p / beyond.p), Real(1.0 / beyond.gamma))),
                     Real(wave.rho * pow(X, Real(2.0 / (g - 1.0)))));
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
