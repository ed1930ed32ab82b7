// A gas of two constituents, fresh charge and burnt gas, ideal, with cv linear in temperature.
//
//   p = rho R(Y) T          R(Y) = (1 - Y) R_fresh + Y R_burnt
//   cv(T, Y) = a(Y) + b(Y) T          e(T, Y) = a T + b T^2 / 2        (mass-weighted a, b)
//   T(e, Y) = 2 e / (a + sqrt(a^2 + 2 b e))
//
// Y is the mass fraction of burnt gas. The datum of e is T = 0 of the linear fit, for both
// constituents, so that mixing at one temperature keeps the temperature. A gas of constant gamma
// is the special case b = 0. Frozen composition: no dissociation; valid where the fit of cv is
// (see thermodynamics.hpp). Ideal mixture of ideal gases: e.g. Heywood (1988), section 4.1.
// Viscosity: Sutherland's law with the constants of the US Standard Atmosphere 1976, eq. (51).
#pragma once

#include "solver/simd/math.hpp"

namespace pulsewright::solver {

struct Constituent {
  double R = 287.05;    // J/(kg K)
  double cv_0 = 717.6;  // J/(kg K), cv at T = 0 of the linear fit
  double cv_T = 0;      // J/(kg K^2), slope of cv
  bool operator==(const Constituent&) const = default;
};

// A gas of constant ratio of specific heats.
inline Constituent constituent_of_constant_gamma(double gamma, double R) {
  return {R, R / (gamma - 1.0), 0.0};
}

struct Gas {
  Constituent fresh;
  Constituent burnt;
  bool operator==(const Gas&) const = default;

  template <class Real>
  PULSEWRIGHT_INLINE Real gas_constant(const Real& Y) const {
    return fresh.R + Y * (burnt.R - fresh.R);
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real cv_0(const Real& Y) const {
    return fresh.cv_0 + Y * (burnt.cv_0 - fresh.cv_0);
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real cv_T(const Real& Y) const {
    return fresh.cv_T + Y * (burnt.cv_T - fresh.cv_T);
  }
  // J/(kg K)
  template <class Real>
  PULSEWRIGHT_INLINE Real cv(const Real& T, const Real& Y) const {
    return cv_0(Y) + cv_T(Y) * T;
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real cp(const Real& T, const Real& Y) const {
    return cv(T, Y) + gas_constant(Y);
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real gamma(const Real& T, const Real& Y) const {
    return 1.0 + gas_constant(Y) / cv(T, Y);
  }
  // J/kg
  template <class Real>
  PULSEWRIGHT_INLINE Real internal(const Real& T, const Real& Y) const {
    return T * (cv_0(Y) + 0.5 * cv_T(Y) * T);
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real enthalpy(const Real& T, const Real& Y) const {
    return internal(T, Y) + gas_constant(Y) * T;
  }
  // K; e in J/kg, e >= 0
  template <class Real>
  PULSEWRIGHT_INLINE Real temperature(const Real& e, const Real& Y) const {
    const Real a = cv_0(Y);
    return 2.0 * e / (a + sqrt(a * a + 2.0 * cv_T(Y) * e));
  }
  // K; h in J/kg, h >= 0
  template <class Real>
  PULSEWRIGHT_INLINE Real temperature_from_enthalpy(const Real& h, const Real& Y) const {
    const Real a = cv_0(Y) + gas_constant(Y);
    return 2.0 * h / (a + sqrt(a * a + 2.0 * cv_T(Y) * h));
  }
  template <class Real>
  PULSEWRIGHT_INLINE Real sound_speed(const Real& T, const Real& Y) const {
    return sqrt(gamma(T, Y) * gas_constant(Y) * T);
  }
};

// The special case of one constituent and constant gamma, for the kernels: what is left of the
// formulas is much less.
struct GasOfConstantGamma {
  double R, cv;                       // J/(kg K)
  double gamma, gamma_less_1, by_cv;  // by_cv = 1 / cv

  static bool is(const Gas& gas) { return gas.fresh == gas.burnt && gas.fresh.cv_T == 0; }
  explicit GasOfConstantGamma(const Gas& gas)
      : R(gas.fresh.R),
        cv(gas.fresh.cv_0),
        gamma(1.0 + R / cv),
        gamma_less_1(R / cv),
        by_cv(1.0 / cv) {}
};

// Pa s; T in K.
template <class Real>
PULSEWRIGHT_INLINE Real viscosity_sutherland(const Real& T) {
  return 1.458e-6 * T * sqrt(T) / (T + 110.4);
}

// W/(m K); from the Prandtl number 0.7 of air and combustion gas (Heywood (1988), section 4.8).
inline constexpr double prandtl_number = 0.7;
template <class Real>
PULSEWRIGHT_INLINE Real conductivity(const Real& T, const Real& cp) {
  return viscosity_sutherland(T) * cp / prandtl_number;
}

}  // namespace pulsewright::solver
