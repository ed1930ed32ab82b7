// Heat transfer coefficient between the cylinder's gas and its walls.
//
// Woschni, SAE 670931 (1967): h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 (kPa, m, K, m/s),
//   w = C1 S_p + C2 V_d T_r / (p_r V_r) (p - p_motored), C1 = 6.18 in gas exchange, 2.28 closed,
//   C2 = 3.24e-3 m/(s K) once combustion has begun; Heywood (1988), eqs (12.38), (12.39).
// Annand, Proc. Instn Mech. Engrs 177 (1963) 973: h = 0.49 (k / B) Re^0.7, Re = rho S_p B / mu; the
//   radiative part is left out (spark ignition: a tenth of it at most).
#pragma once

#include "models/cylinder/specification.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/number.hpp"

namespace pulsewright::models {

// W/(m2 K); bore m, p Pa, T K, w m/s.
template <class Real>
inline Real heat_coefficient_woschni(double bore, const Real& p, const Real& T, const Real& w) {
  // All powers as one: 3.26 exp(sum of exponent log).
  return 3.26 * solver::exp(Real(0.8 * solver::log(Real(1e-3 * p * w)) - 0.2 * solver::log(bore) -
                                 0.55 * solver::log(T)));
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
