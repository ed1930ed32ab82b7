#include "cases/fuel.hpp"

#include <algorithm>

#include "models/cylinder/combustion.hpp"
#include "solver/gas/thermodynamics.hpp"

namespace pulsewright::cases {
namespace {

constexpr double btu_per_pound = 2326;  // J/kg

constexpr Fuel petrol{1.87, 0, 0.110, 14.7, 18676 * btu_per_pound, 150 * btu_per_pound};
constexpr Fuel iso_octane{2.25, 0, 0.11423, 15.13, 44.3e6, 308e3};
constexpr Fuel pure_ethanol{3, 0.5, 0.04607, 9.0, 11585 * btu_per_pound, 396 * btu_per_pound};
constexpr Fuel pure_methanol{4, 1, 0.03204, 6.45, 8637 * btu_per_pound, 506 * btu_per_pound};

// kg of carbon, hydrogen and oxygen atoms per mol.
constexpr double carbon = 12.0107e-3, hydrogen = 1.00794e-3, oxygen = 15.9994e-3;

// mol of carbon in a kg.
double carbon_of(const Fuel& fuel) {
  return 1 / (carbon + fuel.hydrogen_to_carbon * hydrogen + fuel.oxygen_to_carbon * oxygen);
}

// Petrol with a part of ethanol, by volume.
Fuel with_ethanol(double volume) {
  constexpr double petrol_density = 0.745, ethanol_density = 0.794;  // kg/L
  const double ethanol =
      volume * ethanol_density / (volume * ethanol_density + (1 - volume) * petrol_density);
  const auto by_mass = [&](double Fuel::*value) {
    return ethanol * pure_ethanol.*value + (1 - ethanol) * petrol.*value;
  };
  const double from_ethanol = ethanol * carbon_of(pure_ethanol);
  const double from_petrol = (1 - ethanol) * carbon_of(petrol);
  const auto by_carbon = [&](double Fuel::*value) {
    return (from_ethanol * pure_ethanol.*value + from_petrol * petrol.*value) /
           (from_ethanol + from_petrol);
  };
  Fuel fuel;
  fuel.hydrogen_to_carbon = by_carbon(&Fuel::hydrogen_to_carbon);
  fuel.oxygen_to_carbon = by_carbon(&Fuel::oxygen_to_carbon);
  fuel.molar_mass = 1 / (ethanol / pure_ethanol.molar_mass + (1 - ethanol) / petrol.molar_mass);
  fuel.stoichiometric_air_fuel = by_mass(&Fuel::stoichiometric_air_fuel);
  fuel.heating_value = by_mass(&Fuel::heating_value);
  fuel.latent_heat = by_mass(&Fuel::latent_heat);
  return fuel;
}

}  // namespace

Fuel fuel_of(FuelKind kind) {
  switch (kind) {
    case FuelKind::pump_petrol:
      return petrol;
    case FuelKind::race_petrol:
      return iso_octane;
    case FuelKind::e10:
      return with_ethanol(0.10);
    case FuelKind::e85:
      return with_ethanol(0.85);
    case FuelKind::ethanol:
      return pure_ethanol;
    case FuelKind::methanol:
      return pure_methanol;
  }
  return petrol;
}

double fuel_vapour(double air_fuel_ratio, double evaporated, double molar_mass,
                   double water_vapour) {
  constexpr double air_molar_mass = 28.96512e-3;  // kg/mol, McBride et al. (2002)
  const double per_dry_air = evaporated * air_molar_mass / (air_fuel_ratio * molar_mass);
  const double per_air = per_dry_air * (1 - water_vapour);
  return per_air / (1 + per_air);
}

double temperature_after_evaporation(const models::CombustionSpecification& c, double ambient) {
  const double heat = models::evaporation_heat(c, c.evaporated_before_runner);
  if (heat == 0) return ambient;
  const solver::Gas gas = solver::air_and_products(c.hydrogen_to_carbon, c.oxygen_to_carbon);
  // No less than nothing; the reader refuses what is far above that.
  const double enthalpy = std::max(0.0, gas.enthalpy(ambient, 0.0) - heat);
  return gas.temperature_from_enthalpy(enthalpy, 0.0);
}

}  // namespace pulsewright::cases
