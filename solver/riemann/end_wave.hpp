// The simple wave or shock that runs from a pipe end into the pipe: the state of the pipe as a
// boundary needs it.
//
// Local frame: v is the velocity into the pipe, away from its end. A wave between the pipe state w
// (rho, v, p) and the state at the end (p*, v*, rho*) obeys, with gamma frozen at w,
//   p* <= p:  v* = v + 2 c / (gamma - 1) ((p*/p)^((gamma-1)/(2 gamma)) - 1)       rarefaction
//   p* >  p:  v* = v + (p* - p) sqrt(A / (p* + B)),  A = 2/((gamma+1) rho), B = p
//   (gamma-1)/(gamma+1)
// Toro (2009), eqs (4.6), (4.7), mirrored. v*(p*) rises strictly. Valid for an ideal gas whose
// gamma changes little across the wave.
#pragma once

#include "solver/gas/state.hpp"

namespace pulsewright::solver {

template <class Real>
struct EndWave {
  Real rho, v, p, Y;
  Real gamma, c;
  Real A, B;  // of the shock relation

  EndWave(const Gas& gas, const Primitive<Real>& w, double inward)
      : EndWave(w.rho, Real(inward * w.u), w.p, w.Y, gas.gamma(temperature_of(gas, w), w.Y)) {}
  EndWave(const Real& density, const Real& velocity_in, const Real& static_pressure,
          const Real& burnt, const Real& ratio_of_heats)
      : rho(density), v(velocity_in), p(static_pressure), Y(burnt), gamma(ratio_of_heats) {
    c = sqrt(gamma * p / rho);
    A = 2.0 / ((gamma + 1.0) * rho);
    B = p * (gamma - 1.0) / (gamma + 1.0);
  }

  struct Behind {
    Real v;    // m/s into the pipe
    Real rho;  // kg/m3
  };
  // The pipe's gas behind the wave, at the end, for the pressure p_star > 0 there, Pa.
  Behind behind(const Real& p_star) const {
    const Real ratio = p_star / p;
    const auto shock = p_star > p;
    const Real X = rarefaction_ratio(solver::log(ratio), shock);
    const Real g = (gamma - 1.0) / (gamma + 1.0);
    return {v + select_lazy(
                    shock, [&] { return Real((p_star - p) * sqrt(A / (p_star + B))); },
                    [&] { return Real(2.0 * c / (gamma - 1.0) * (X - 1.0)); }),
            rho * select(shock, Real((ratio + g) / (g * ratio + 1.0)), Real(ratio / (X * X)))};
  }
  Real velocity(const Real& p_star) const { return behind(p_star).v; }
  struct Velocity {
    Real v;      // m/s into the pipe
    Real slope;  // m/(s Pa), by the pressure at the end
  };
  // log_ratio: of p_star / p.
  Velocity velocity_and_slope(const Real& p_star, const Real& log_ratio) const {
    return velocity_through(p_star, rarefaction_ratio(log_ratio, p_star > p));
  }

  struct BehindAndSlopes {
    Real v, rho;
    Real v_slope, rho_slope;  // by the pressure at the end
  };
  BehindAndSlopes behind_and_slopes(const Real& p_star, const Real& log_ratio) const {
    const Real ratio = p_star / p;
    const auto shock = p_star > p;
    const Real X = rarefaction_ratio(log_ratio, shock);
    const auto [v_star, v_slope] = velocity_through(p_star, X);
    const Real g = (gamma - 1.0) / (gamma + 1.0);
    const Real inverse = 1.0 / (g * ratio + 1.0);
    const Real fan = rho * ratio / (X * X);
    return {v_star, select(shock, Real(rho * (ratio + g) * inverse), fan), v_slope,
            select(shock, Real(rho / p * (1.0 - g * g) * inverse * inverse),
                   Real(fan / (gamma * p_star)))};
  }

  Real density(const Real& p_star) const { return behind(p_star).rho; }

  // Pressure at the end, Pa, that goes with the velocity v_star there; 0 where the gas cannot
  // follow (vacuum). Inverse of velocity().
  Real pressure(const Real& v_star) const {
    const Real dv = v_star - v;
    return select_lazy(
        dv > 0.0,
        [&] {  // (p* - p)^2 A = dv^2 (p* + B): quadratic in p* - p
          const Real half = 0.5 * dv * dv / A;
          return Real(p + half + sqrt(half * (half + 2.0 * (p + B))));
        },
        [&] {
          const Real base = max(Real(0.0), 1.0 + 0.5 * (gamma - 1.0) * dv / c);
          return Real(p * solver::pow(base, 2.0 * gamma / (gamma - 1.0)));
        });
  }

  // Pressure that stops the gas at the end: the pressure on a wall.
  Real wall_pressure() const { return pressure(Real(0.0)); }

  // Pressure, Pa, at which gas leaving through the end is just sonic (a point within the
  // rarefaction fan); equals p when the pipe itself brings it at Mach 1 or more.
  Real sonic_outflow_pressure() const {
    const Real mach = min(-v / c, Real(1.0));
    const Real base = max(Real(0.0), (2.0 + (gamma - 1.0) * mach) / (gamma + 1.0));
    return p * solver::pow(base, 2.0 * gamma / (gamma - 1.0));
  }

 private:
  // X: rarefaction_ratio() there.
  Velocity velocity_through(const Real& p_star, const Real& X) const {
    const auto shock = p_star > p;
    const Real root = sqrt(A / (p_star + B));
    const Real gap = p_star - p;
    return {v + select(shock, Real(gap * root), Real(2.0 * c / (gamma - 1.0) * (X - 1.0))),
            select(shock, Real(root * (1.0 - 0.5 * gap / (p_star + B))),
                   Real(c * X / (gamma * p_star)))};
  }
  // Square root of the temperature ratio across a rarefaction to p_star; 1 for a shock.
  template <class Mask>
  Real rarefaction_ratio(const Real& log_ratio, const Mask& shock) const {
    return select_lazy(
        shock, [] { return Real(1.0); },
        [&] { return solver::exp(Real(0.5 * (gamma - 1.0) / gamma * log_ratio)); });
  }
};

}  // namespace pulsewright::solver
