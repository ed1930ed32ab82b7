// Heat capacities of single species and of mixtures, and the linear fit that Gas runs on.
//
// Source: McBride, Zehe & Gordon, NASA Glenn Coefficients for Calculating Thermodynamic Properties
// of Individual Species, NASA/TP-2002-211556 (2002):
//   cp/R = a1 T^-2 + a2 T^-1 + a3 + a4 T + a5 T^2 + a6 T^3 + a7 T^4,  200..1000 and 1000..6000 K.
#pragma once

#include <array>
#include <vector>

#include "solver/gas/gas.hpp"

namespace pulsewright::solver {

inline constexpr double universal_gas_constant = 8.314462618;  // J/(mol K), CODATA 2018

struct Species {
  double molar_mass;           // kg/mol
  std::array<double, 9> low;   // a1..a7, b1, b2, 200..1000 K
  std::array<double, 9> high;  // 1000..6000 K
};

extern const Species nitrogen, oxygen, carbon_dioxide, water, argon, dry_air;

double molar_cp(const Species&, double T);        // J/(mol K)
double molar_enthalpy(const Species&, double T);  // J/mol, includes the heat of formation
double molar_entropy(const Species&, double T);   // J/(mol K) at 1 bar

struct MixturePart {
  const Species* species;
  double mole_fraction;
};
using Mixture = std::vector<MixturePart>;  // fractions sum to 1

double molar_mass(const Mixture&);    // kg/mol
double cp(const Mixture&, double T);  // J/(kg K)
double gamma(const Mixture&, double T);

// Dry air of the four species N2, O2, Ar, CO2 as in McBride et al.
Mixture air_mixture();

// Complete combustion of a fuel CH_y O_z with dry air, stoichiometric or lean, frozen composition.
// hydrogen_to_carbon = y; oxygen_to_carbon = z; lambda = air supplied / stoichiometric air, >= 1.
Mixture burnt_mixture(double hydrogen_to_carbon, double lambda = 1.0,
                      double oxygen_to_carbon = 0.0);
// kg of dry air per kg of fuel CH_y O_z.
double stoichiometric_air_fuel(double hydrogen_to_carbon, double oxygen_to_carbon = 0.0);

// Least-squares fit cv = cv_0 + cv_T T over [T_low, T_high] K.
struct LinearFit {
  Constituent constituent;
  double worst_relative_error;  // of cv within the range
};
LinearFit fit_linear_cv(const Mixture&, double T_low, double T_high);

// The range in K that the gas of a pipe network is fitted over.
inline constexpr double fit_low = 280.0;
inline constexpr double fit_high = 1800.0;

// Dry air as fresh charge and the stoichiometric products of CH_y O_z as burnt gas.
Gas air_and_products(double hydrogen_to_carbon, double oxygen_to_carbon = 0.0);

}  // namespace pulsewright::solver
