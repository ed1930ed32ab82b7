// Fuels by name, with published values.
//
// Petrol, ethanol and methanol: [afdc2014] of the U.S. Department of Energy (latent heat at 60
// degF); hydrogen per carbon and molar mass of petrol: Heywood (1988), table D.4, from memory. Race
// petrol is iso-octane (the same table, from memory), of which racing petrol without oxygen mostly
// consists. E10 and E85 are mixed by volume of petrol (0.745 kg/L, the middle of 0.72 to 0.78) and
// ethanol (0.794 kg/L, as in [afdc2014]), and their values follow by mass.
#pragma once

#include "models/cylinder/specification.hpp"

namespace pulsewright::cases {

// In the order of the choices of combustion.fuel.
enum class FuelKind { pump_petrol, race_petrol, e10, e85, ethanol, methanol };

struct Fuel {
  double hydrogen_to_carbon = 0, oxygen_to_carbon = 0;  // atoms
  double molar_mass = 0;                                // kg/mol
  double stoichiometric_air_fuel = 0;                   // kg/kg
  double heating_value = 0;                             // J/kg, lower, of liquid fuel
  double latent_heat = 0;                               // J/kg
};

Fuel fuel_of(FuelKind kind);

// Mole fraction of fuel vapour in a charge of which `evaporated` (share of the fuel) is vapour.
// water_vapour: mole fraction in the air; molar_mass in kg/mol.
double fuel_vapour(double air_fuel_ratio, double evaporated, double molar_mass,
                   double water_vapour);

// Temperature in K of air of `ambient` K from which fuel has evaporated before the runner.
double temperature_after_evaporation(const models::CombustionSpecification& combustion,
                                     double ambient);

}  // namespace pulsewright::cases
