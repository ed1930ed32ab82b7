// Numerical fluxes between two states. All are consistent, flux(w, w) = physical_flux(w), and
// mirror-symmetric to the last bit.
#pragma once

#include "solver/gas/state.hpp"

namespace pulsewright::solver {

// What a flux needs of the two states at a face.
template <class Real>
struct FaceSide {
  Real c2;        // m2/s2
  Real internal;  // J/kg
  Real weight;    // in the averages of Roe
};
template <class Real>
struct FaceSides {
  FaceSide<Real> left, right;
};

// In plain, for each side k:
//
//   T = p / (rho R),   cv = cv_0 + cv_T T                          gas.hpp
//   c^2 = (1 + R / cv) R T,   e = T (cv_0 + cv_T T / 2)
//   weight = sqrt(rho_k) / (sqrt(rho_l) + sqrt(rho_r))             Toro (2009), eq. (10.53)
//
// which is six divisions and two roots. Here the six are one, by 1/a = b (1/(a b)), since the
// divider is what limits a face: with H = rho R and K = cv_0 H + cv_T p
//
//   T = p / H,   cv = K / H,   weight = rho_k / (rho_k + sqrt(rho_l rho_r)).
//
// Cost for both sides: 1 division, 1 square root.
template <class Real>
PULSEWRIGHT_INLINE FaceSides<Real> sides_of(const Gas& gas, const Primitive<Real>& l,
                                            const Primitive<Real>& r) {
  const Real R_l = gas.gas_constant(l.Y);
  const Real R_r = gas.gas_constant(r.Y);
  const Real a_l = gas.cv_0(l.Y);
  const Real a_r = gas.cv_0(r.Y);
  const Real b_l = gas.cv_T(l.Y);
  const Real b_r = gas.cv_T(r.Y);
  const Real H_l = l.rho * R_l;
  const Real H_r = r.rho * R_r;
  const Real K_l = a_l * H_l + b_l * l.p;
  const Real K_r = a_r * H_r + b_r * r.p;
  const Real mean = sqrt(l.rho * r.rho);
  const Real sum_l = l.rho + mean;
  const Real sum_r = r.rho + mean;
  const Real H = H_l * H_r;
  const Real K = K_l * K_r;
  const Real sums = sum_l * sum_r;
  const Real HK = H * K;
  const Real inverse = 1.0 / (HK * sums);
  const Real by_H = K * sums * inverse;
  const Real by_K = H * sums * inverse;
  const Real by_sums = HK * inverse;
  const Real T_l = l.p * (H_r * by_H);
  const Real T_r = r.p * (H_l * by_H);
  return {{R_l * T_l * (1.0 + R_l * (H_l * (K_r * by_K))), T_l * (a_l + 0.5 * b_l * T_l),
           l.rho * (sum_r * by_sums)},
          {R_r * T_r * (1.0 + R_r * (H_r * (K_l * by_K))), T_r * (a_r + 0.5 * b_r * T_r),
           r.rho * (sum_l * by_sums)}};
}

// The same for constant gamma: c^2 = gamma p / rho, e = p / ((gamma - 1) rho). Cost: 1 division for
// the faces (that by R is of constants), 1 square root.
template <class Real>
PULSEWRIGHT_INLINE FaceSides<Real> sides_of(const GasOfConstantGamma& gas, const Primitive<Real>& l,
                                            const Primitive<Real>& r) {
  const Real product = l.rho * r.rho;
  const Real mean = sqrt(product);
  const Real sum_l = l.rho + mean;
  const Real sum_r = r.rho + mean;
  const Real sums = sum_l * sum_r;
  const Real inverse = 1.0 / (product * sums);
  const Real by_product = sums * inverse;
  const Real by_sums = product * inverse;
  const Real p_by_rho_l = l.p * (r.rho * by_product);
  const Real p_by_rho_r = r.p * (l.rho * by_product);
  const double by_gamma_less_1 = gas.cv / gas.R;
  return {{gas.gamma * p_by_rho_l, by_gamma_less_1 * p_by_rho_l, l.rho * (sum_r * by_sums)},
          {gas.gamma * p_by_rho_r, by_gamma_less_1 * p_by_rho_r, r.rho * (sum_l * by_sums)}};
}

// Bounds of the wave speeds of Einfeldt, SIAM J. Numer. Anal. 25 (1988) 294; Toro (2009), eqs
// (10.52) to (10.54). With ~ for the averages by weight,
//
//   S_L = min(u_l - c_l, u~ - d),   S_R = max(u_r + c_r, u~ + d)
//   d^2 = (c^2)~ + 1/2 weight_l weight_r (u_r - u_l)^2
//
// They keep density and pressure positive with the HLLC flux: Batten, Clarke, Lambert & Causon,
// SIAM J. Sci. Comput. 18 (1997) 1553. Bounds from the two states alone (min(u - c), max(u + c))
// cost less, but smear a strong shock that moves against the flow (Toro's fifth test, by 20 % in
// velocity). Cost: 3 square roots.
template <class Real>
struct WaveSpeeds {
  Real left;
  Real right;
};

template <class Real>
PULSEWRIGHT_INLINE WaveSpeeds<Real> wave_speeds_einfeldt(const Primitive<Real>& l,
                                                         const FaceSide<Real>& at_l,
                                                         const Primitive<Real>& r,
                                                         const FaceSide<Real>& at_r) {
  const Real u = at_l.weight * l.u + at_r.weight * r.u;
  const Real du = r.u - l.u;
  const Real c = sqrt(at_l.weight * at_l.c2 + at_r.weight * at_r.c2 +
                      0.5 * at_l.weight * at_r.weight * du * du);
  return {min(l.u - sqrt(at_l.c2), u - c), max(r.u + sqrt(at_r.c2), u + c)};
}

// First half of every flux: the waves between the two states, with what the second half, through(),
// takes from it. They are apart so that a sweep can do them in different stages.
template <class Real>
struct Fan {
  WaveSpeeds<Real> speed;
  Real internal_l, internal_r;  // J/kg
};

template <class GasModel, class Real>
PULSEWRIGHT_INLINE Fan<Real> fan_between(const GasModel& gas, const Primitive<Real>& l,
                                         const Primitive<Real>& r) {
  const auto [at_l, at_r] = sides_of(gas, l, r);
  return {wave_speeds_einfeldt(l, at_l, r, at_r), at_l.internal, at_r.internal};
}

// HLLC: Toro, Spruce & Speares, Shock Waves 4 (1994) 25; Toro (2009), section 10.4. In plain, with
// K the side of the contact that the face lies on, L where S* > 0:
//
//   1. wave speeds S_L, S_R                                              wave_speeds_einfeldt()
//   2. contact speed, eq. (10.37), with m_K = rho_K (S_K - u_K)
//        S* = (p_R - p_L + m_L u_L - m_R u_R) / (m_L - m_R)
//   3. star state, eqs (10.36), (10.39)
//        rho* = m_K / (S_K - S*),   p* = p_K + m_K (S* - u_K)
//        E*/rho* = E_K/rho_K + (S* - u_K) (S* + p_K / m_K)
//   4. flux of the star state within the fan, else of side K
//        F = (rho u, rho u^2 + p, u (E + p), rho u Y)
//
// Step 4 takes the physical flux of the star state, rho* S* and so on, which for the HLLC star
// states equals F_K + S_K (U*_K - U_K) and is zero to the last bit at a stationary contact.
//
// The three divisions of steps 2 and 3 are taken as one: S* itself is only multiplied by its
// denominator (force = S* mass_sum, gap = S_K - S* = gap_force / mass_sum) until the side is
// chosen. Cost: 1 division, no root. With fan_between(): 2 divisions, 4 square roots, no pow per
// face.
struct FluxHllc {
  template <class GasModel, class Real>
  PULSEWRIGHT_INLINE static Flux<Real> between(const GasModel& gas, const Primitive<Real>& l,
                                               const Primitive<Real>& r) {
    return through(fan_between(gas, l, r), l, r);
  }

  template <class Real>
  PULSEWRIGHT_INLINE static Flux<Real> through(const Fan<Real>& fan, const Primitive<Real>& l,
                                               const Primitive<Real>& r) {
    const WaveSpeeds<Real>& s = fan.speed;
    // 2. contact speed: s_star = force / mass_sum, mass_sum < 0
    const Real m_l = l.rho * (s.left - l.u);
    const Real m_r = r.rho * (s.right - r.u);
    const Real force = (r.p - l.p) + (m_l * l.u - m_r * r.u);
    const Real mass_sum = m_l - m_r;
    const auto from_left = force <= 0.0;
    const Real rho = select(from_left, l.rho, r.rho);
    const Real u = select(from_left, l.u, r.u);
    const Real p = select(from_left, l.p, r.p);
    const Real Y = select(from_left, l.Y, r.Y);
    const Real e = select(from_left, fan.internal_l, fan.internal_r);
    const Real m = select(from_left, m_l, m_r);
    const Real s_k = select(from_left, s.left, s.right);
    // Outside the fan the state of that side flows through unchanged.
    const auto in_fan = select(from_left, -s.left, s.right) > 0.0;
    const Real gap_force = s_k * mass_sum - force;
    const Real m_gap = m * gap_force;
    const Real by_both = 1.0 / (mass_sum * m_gap);
    const Real by_mass = m_gap * by_both;
    const Real s_star = force * by_mass;
    const Real gap = gap_force * by_mass;
    // 3. star state; inverse = 1 / (m gap)
    const Real inverse = mass_sum * (mass_sum * by_both);
    const Real star_rho = m * (m * inverse);
    const Real star_p = p + m * (s_star - u);
    const Real star_total = e + 0.5 * u * u + (s_star - u) * (s_star + p * (gap * inverse));
    // 4. flux
    const Real f_rho = select(in_fan, star_rho, rho);
    const Real f_u = select(in_fan, s_star, u);
    const Real f_p = select(in_fan, star_p, p);
    const Real f_total = select(in_fan, star_total, e + 0.5 * u * u);
    const Real mass = f_rho * f_u;
    return {mass, mass * f_u + f_p, mass * f_total + f_u * f_p, mass * Y};
  }
};

// HLL with the same wave speeds: contacts smear; kept for comparison by the tests. Harten, Lax &
// van Leer (1983), SIAM Rev. 25, 35; Toro (2009), section 10.3: within the fan
//   F = (S_R F_L - S_L F_R + S_L S_R (U_R - U_L)) / (S_R - S_L).
struct FluxHll {
  template <class GasModel, class Real>
  PULSEWRIGHT_INLINE static Flux<Real> between(const GasModel& gas, const Primitive<Real>& l,
                                               const Primitive<Real>& r) {
    return through(fan_between(gas, l, r), l, r);
  }

  template <class Real>
  PULSEWRIGHT_INLINE static Flux<Real> through(const Fan<Real>& fan, const Primitive<Real>& l,
                                               const Primitive<Real>& r) {
    const Real s_l = min(fan.speed.left, Real(0.0));
    const Real s_r = max(fan.speed.right, Real(0.0));
    const Real E_l = l.rho * (fan.internal_l + 0.5 * l.u * l.u);
    const Real E_r = r.rho * (fan.internal_r + 0.5 * r.u * r.u);
    const Flux<Real> f_l = physical_flux(l, fan.internal_l);
    const Flux<Real> f_r = physical_flux(r, fan.internal_r);
    // Written so that equal states give the physical flux to the last bit.
    const auto blend = [&](const Real& a, const Real& b, const Real& low, const Real& high) {
      return 0.5 * (a + b) + (s_l * s_r * (high - low) - 0.5 * (s_l + s_r) * (b - a)) / (s_r - s_l);
    };
    return {blend(f_l.mass, f_r.mass, l.rho, r.rho),
            blend(f_l.momentum, f_r.momentum, l.rho * l.u, r.rho * r.u),
            blend(f_l.energy, f_r.energy, E_l, E_r),
            blend(f_l.burnt, f_r.burnt, l.rho * l.Y, r.rho * r.Y)};
  }
};

}  // namespace pulsewright::solver
