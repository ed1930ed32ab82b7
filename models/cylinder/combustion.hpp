// Heat release: one Wiebe function, x = (1 - exp(-a z^(m+1))) / (1 - exp(-a)), z = (theta -
// start) / duration. Wiebe (1956); Heywood (1988), eq. (9.33). Scaled so that all of the charge has
// burnt at z = 1.
//
// The duration grows with speed, duration ~ (n / n_ref)^exponent; an exponent of about 0.3 is
// common practice (from memory of Heywood (1988), section 9.3: the burn angle rises slowly with
// speed). The fresh charge is air; the fuel joins it as it burns, which leaves out both the volume
// of fuel vapour and the cooling by its evaporation: they nearly cancel in the filling. A share of
// the fuel that evaporates earlier (CombustionSpecification) is part of the charge: it takes the
// place of air, as water vapour does, and takes its latent heat from the charge. Vapours count as
// air of the same volume that does not burn: their own molar mass and specific heat are left out
// (4 % of water vapour are 1.5 % of the charge's mass).
//
// Heat: per kg of air burnt, heating value * efficiency / max(air-fuel ratio, stoichiometric one):
// a rich mixture burns as far as its oxygen reaches. Products are those of stoichiometric
// combustion whatever the mixture. The heating value holds at 298.15 K; heat_at_datum() moves it
// to the datum of the gas model, so that burning at 298 K in constant volume gives the heating
// value back.
#pragma once

#include <algorithm>
#include <cmath>

#include "models/cylinder/specification.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/math.hpp"

namespace pulsewright::models {

class WiebeBurn {
 public:
  // speed in rev/s
  WiebeBurn(const CombustionSpecification& c, double speed)
      : a_(c.wiebe_a),
        exponent_(c.wiebe_m + 1.0),
        duration_(c.duration_deg * std::pow(speed / c.reference_speed, c.duration_exponent)) {
    const double all = 1.0 - std::exp(-a_);
    scale_ = 1.0 / all;
    const double z_half = std::pow(-std::log(1.0 - 0.5 * all) / a_, 1.0 / exponent_);
    start_ = c.burned_50_deg - z_half * duration_;
  }

  double start() const { return start_; }            // deg, may be negative (before TDC)
  double end() const { return start_ + duration_; }  // deg
  double duration() const { return duration_; }      // deg
  // Mass fraction burned at a crank angle counted continuously around firing TDC (-360..360 deg).
  template <class Real>
  Real mass_fraction_burned(const Real& angle) const {
    const Real z = (angle - start_) / duration_;
    const auto burning = z > 0.0 && z < 1.0;
    const Real before_or_after = solver::select(z >= 1.0, Real(1.0), Real(0.0));
    if (!solver::any(burning)) return before_or_after;
    const Real progress = solver::pow(solver::select(burning, z, Real(1.0)), Real(exponent_));
    return solver::select(burning, Real(scale_ * (1.0 - solver::exp(Real(-a_ * progress)))),
                          before_or_after);
  }

 private:
  double a_, exponent_, duration_;
  double scale_ = 1, start_ = 0;
};

// kg of fuel that comes with one kg of air.
inline double fuel_per_air(const CombustionSpecification& c) { return 1.0 / c.air_fuel_ratio; }

// J released per kg of air burnt, at 298.15 K.
inline double heat_per_air(const CombustionSpecification& c) {
  return c.efficiency * c.heating_value / std::max(c.air_fuel_ratio, c.stoichiometric_air_fuel);
}

// kg of dry air in one kg of fresh charge.
inline double dry_air_share(const CombustionSpecification& c) {
  return (1.0 - c.water_vapour) * (1.0 - c.fuel_vapour);
}

// kg of fuel that joins one kg of fresh charge as it burns: what is not yet a part of it.
inline double fuel_joining(const CombustionSpecification& c) {
  return dry_air_share(c) * (1.0 - (c.evaporated_before_runner + c.evaporated_in_cylinder)) *
         fuel_per_air(c);
}

// J taken from one kg of fresh charge by the fuel of a share that evaporates.
inline double evaporation_heat(const CombustionSpecification& c, double share) {
  return dry_air_share(c) * share * c.latent_heat * fuel_per_air(c);
}

// J released per kg of fresh charge burnt, at the gas model's datum of internal energy. The heating
// value is that of liquid fuel: what evaporated before has taken its latent heat from the charge,
// not from the flame, which gives that much more.
inline double heat_at_datum(const CombustionSpecification& c, const solver::Gas& gas) {
  constexpr double reference = 298.15;
  const double heat = dry_air_share(c) * heat_per_air(c) +
                      evaporation_heat(c, c.evaporated_before_runner + c.evaporated_in_cylinder);
  return heat + (1.0 + fuel_joining(c)) * gas.internal(reference, 1.0) -
         gas.internal(reference, 0.0);
}

}  // namespace pulsewright::models
