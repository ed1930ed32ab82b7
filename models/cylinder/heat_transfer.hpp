// Heat-transfer coefficient between the cylinder's gas and its walls.
//
// Woschni, SAE 670931 (1967): h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 (kPa, m, K, m/s),
//   w = C1 S_p + C2 V_d T_r / (p_r V_r) (p - p_motored); Heywood (1988), eqs (12.38), (12.39). r:
//   state at intake valve closing; p_motored = p_r (V_r / V)^n. Constants: struct Woschni.
// Annand, Proc. Instn Mech. Engrs 177 (1963) 973: h = 0.49 (k / B) Re^0.7, Re = rho S_p B / mu; the
//   radiative part is left out (spark ignition: a tenth of it at most).
#pragma once

#include "models/cylinder/specification.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/math.hpp"

namespace pulsewright::models {

// The constants of Woschni's correlation, from the sources above.
struct Woschni {
  static constexpr double factor = 3.26;
  static constexpr double bore_exponent = 0.2, pressure_exponent = 0.8;
  static constexpr double temperature_exponent = 0.55;
  static constexpr double gas_exchange = 6.18;   // C1 while a valve is open
  static constexpr double closed = 2.28;         // C1 in compression and expansion
  static constexpr double combustion = 3.24e-3;  // C2, m/(s K), once combustion has begun; else 0
  static constexpr double motored_exponent = 1.32;  // n, polytropic; common practice, no source
};

// Mean gas velocity w, m/s. closed: no valve is open; burning: combustion has begun, too. Mean
// piston speed in m/s, swept volume in m3; state at intake valve closing (p_r Pa, T_r K, V_r m3)
// and now (p Pa, V m3).
template <class Real, class Mask>
inline Real gas_velocity_woschni(const Mask& closed, const Mask& burning, double piston_speed,
                                 double swept_volume, const Real& p_r, const Real& T_r,
                                 const Real& V_r, const Real& p, const Real& V) {
  const Real w = solver::select(closed, Real(Woschni::closed * piston_speed),
                                Real(Woschni::gas_exchange * piston_speed));
  const Real motored =
      p_r * solver::exp(Real(Woschni::motored_exponent * solver::log(Real(V_r / V))));
  const Real faster = Woschni::combustion * swept_volume * T_r / (p_r * V_r) *
                      solver::max(Real(0.0), Real(p - motored));
  return solver::select(burning, Real(w + faster), w);
}

// W/(m2 K); bore m, p Pa, T K, w m/s.
template <class Real>
inline Real heat_coefficient_woschni(double bore, const Real& p, const Real& T, const Real& w) {
  // All powers as one: factor exp(sum of exponent log). p in kPa; w has the exponent of p.
  using W = Woschni;
  return W::factor * solver::exp(Real(W::pressure_exponent * solver::log(Real(1e-3 * p * w)) -
                                      W::bore_exponent * solver::log(bore) -
                                      W::temperature_exponent * solver::log(T)));
}

// W/(m2 K); rho kg/m3, piston_speed m/s mean, cp J/(kg K). a = 0.35 .. 0.8.
template <class Real>
inline Real heat_coefficient_annand(double bore, const Real& rho, double piston_speed,
                                    const Real& T, const Real& cp, double a = 0.49) {
  const Real mu = solver::viscosity_sutherland(T);
  const Real Re = rho * piston_speed * bore / mu;
  return a * solver::conductivity(T, cp) / bore * solver::pow(Re, Real(0.7));
}

}  // namespace pulsewright::models
