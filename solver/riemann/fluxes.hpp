// Numerical fluxes between two states. All are consistent, flux(w, w) = physical_flux(w), and
// mirror-symmetric to the last bit.
#pragma once

#include "solver/gas/state.hpp"

namespace pulsewright::solver {

// What a flux needs of the two states at a face. share: weight of a state in the averages of Roe,
// sqrt(rho) over the sum of both. All divisions are taken as one, 1/a = b (1/(a b)): the divider is
// what limits a face.
template <class Real>
struct FaceSide {
  Real c2;        // m2/s2
  Real internal;  // J/kg
  Real share;
};
template <class Real>
struct FaceSides {
  FaceSide<Real> left, right;
};

template <class Real>
PULSEWRIGHT_INLINE FaceSides<Real> sides_of(const Gas& gas, const Primitive<Real>& l,
                                            const Primitive<Real>& r) {
  const Real R_l = gas.gas_constant(l.Y);
  const Real R_r = gas.gas_constant(r.Y);
  const Real a_l = gas.cv_0(l.Y);
  const Real a_r = gas.cv_0(r.Y);
  const Real b_l = gas.cv_T(l.Y);
  const Real b_r = gas.cv_T(r.Y);
  // T = p / H, cv = K / H
  const Real H_l = l.rho * R_l;
  const Real H_r = r.rho * R_r;
  const Real K_l = a_l * H_l + b_l * l.p;
  const Real K_r = a_r * H_r + b_r * r.p;
  // sqrt(rho_l) / (sqrt(rho_l) + sqrt(rho_r)) = rho_l / (rho_l + mean)
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

// Bounds of the wave speeds of Einfeldt, SIAM J. Numer. Anal. 25 (1988) 294, which keep density
// and pressure positive with the HLLC flux: Batten, Clarke, Lambert & Causon, SIAM J. Sci. Comput.
// 18 (1997) 1553. Bounds from the two states alone (min(u - c), max(u + c)) cost less, but smear a
// strong shock that moves against the flow (Toro's fifth test, by 20 % in velocity).
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
  const Real u = at_l.share * l.u + at_r.share * r.u;
  const Real du = r.u - l.u;
  const Real c =
      sqrt(at_l.share * at_l.c2 + at_r.share * at_r.c2 + 0.5 * at_l.share * at_r.share * du * du);
  return {min(l.u - sqrt(at_l.c2), u - c), max(r.u + sqrt(at_r.c2), u + c)};
}

// First half of every flux: the waves between the two states. The second half, through(), can be
// left for later.
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

// HLLC: Toro, Spruce & Speares, Shock Waves 4 (1994) 25; Toro (2009), section 10.4. The flux is
// evaluated from the star state itself (mass = rho* S*), which is zero to the last bit at a
// stationary contact.
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
    const Real m_l = l.rho * (s.left - l.u);
    const Real m_r = r.rho * (s.right - r.u);
    // Speed of the contact: s_star = push / mass_sum, mass_sum < 0.
    const Real push = (r.p - l.p) + (m_l * l.u - m_r * r.u);
    const Real mass_sum = m_l - m_r;
    const auto from_left = push <= 0.0;
    const Real rho = select(from_left, l.rho, r.rho);
    const Real u = select(from_left, l.u, r.u);
    const Real p = select(from_left, l.p, r.p);
    const Real Y = select(from_left, l.Y, r.Y);
    const Real e = select(from_left, fan.internal_l, fan.internal_r);
    const Real m = select(from_left, m_l, m_r);
    const Real s_k = select(from_left, s.left, s.right);
    // Outside the fan the state of that side flows through unchanged.
    const auto in_fan = select(from_left, -s.left, s.right) > 0.0;
    // gap = s_k - s_star = gap_push / mass_sum; again one division for 1/mass_sum and 1/(m gap).
    const Real gap_push = s_k * mass_sum - push;
    const Real m_gap = m * gap_push;
    const Real by_both = 1.0 / (mass_sum * m_gap);
    const Real by_mass = m_gap * by_both;
    const Real s_star = push * by_mass;
    const Real gap = gap_push * by_mass;
    const Real inverse = mass_sum * (mass_sum * by_both);
    const Real star_rho = m * (m * inverse);
    const Real star_p = p + m * (s_star - u);
    const Real star_total = e + 0.5 * u * u + (s_star - u) * (s_star + p * (gap * inverse));
    const Real f_rho = select(in_fan, star_rho, rho);
    const Real f_u = select(in_fan, s_star, u);
    const Real f_p = select(in_fan, star_p, p);
    const Real f_total = select(in_fan, star_total, e + 0.5 * u * u);
    const Real mass = f_rho * f_u;
    return {mass, mass * f_u + f_p, mass * f_total + f_u * f_p, mass * Y};
  }
};

// HLL with the same wave speeds: contacts smear; kept as the plain reference_kernel.
// Harten, Lax & van Leer, SIAM Rev. 25 (1983) 35.
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
