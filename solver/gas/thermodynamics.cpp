#include "solver/gas/thermodynamics.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace pulsewright::solver {

const Species nitrogen{28.0134e-3,
                       {22103.71497, -381.846182, 6.08273836, -0.00853091441, 1.384646189e-05,
                        -9.62579362e-09, 2.519705809e-12, 710.846086, -10.76003744},
                       {587712.406, -2239.249073, 6.06694922, -0.00061396855, 1.491806679e-07,
                        -1.923105485e-11, 1.061954386e-15, 12832.10415, -15.86640027}};
const Species oxygen{31.9988e-3,
                     {-34255.6342, 484.700097, 1.119010961, 0.00429388924, -6.83630052e-07,
                      -2.0233727e-09, 1.039040018e-12, -3391.45487, 18.4969947},
                     {-1037939.022, 2344.830282, 1.819732036, 0.001267847582, -2.188067988e-07,
                      2.053719572e-11, -8.19346705e-16, -16890.10929, 17.38716506}};
const Species carbon_dioxide{
    44.0095e-3,
    {49436.5054, -626.411601, 5.30172524, 0.002503813816, -2.127308728e-07, -7.68998878e-10,
     2.849677801e-13, -45281.9846, -7.04827944},
    {117696.2419, -1788.791477, 8.29152319, -9.22315678e-05, 4.86367688e-09, -1.891053312e-12,
     6.33003659e-16, -39083.5059, -26.52669281}};
const Species water{18.01528e-3,
                    {-39479.6083, 575.573102, 0.931782653, 0.00722271286, -7.34255737e-06,
                     4.95504349e-09, -1.336933246e-12, -33039.7431, 17.24205775},
                    {1034972.096, -2412.698562, 4.64611078, 0.002291998307, -6.83683048e-07,
                     9.42646893e-11, -4.82238053e-15, -13842.86509, -7.97814851}};
const Species argon{39.948e-3,
                    {0, 0, 2.5, 0, 0, 0, 0, -745.375, 4.37967491},
                    {20.10538475, -0.0599266107, 2.500069401, -3.99214116e-08, 1.20527214e-11,
                     -1.819015576e-15, 1.078576636e-19, -744.993961, 4.37918011}};
const Species dry_air{28.96512e-3,
                      {10099.5016, -196.827561, 5.00915511, -0.00576101373, 1.06685993e-05,
                       -7.94029797e-09, 2.18523191e-12, -176.796731, -3.921504225},
                      {241521.443, -1257.8746, 5.14455867, -0.000213854179, 7.06522784e-08,
                       -1.07148349e-11, 6.57780015e-16, 6462.26319, -8.147411905}};

namespace {
const std::array<double, 9>& coefficients(const Species& s, double T) {
  return T < 1000.0 ? s.low : s.high;
}
}  // namespace

double molar_cp(const Species& s, double T) {
  const auto& a = coefficients(s, T);
  return universal_gas_constant *
         (a[0] / (T * T) + a[1] / T + a[2] + T * (a[3] + T * (a[4] + T * (a[5] + T * a[6]))));
}

double molar_enthalpy(const Species& s, double T) {
  const auto& a = coefficients(s, T);
  const double h_over_RT = -a[0] / (T * T) + a[1] * std::log(T) / T + a[2] +
                           T * (a[3] / 2 + T * (a[4] / 3 + T * (a[5] / 4 + T * a[6] / 5))) +
                           a[7] / T;
  return h_over_RT * universal_gas_constant * T;
}

double molar_entropy(const Species& s, double T) {
  const auto& a = coefficients(s, T);
  return universal_gas_constant *
         (-a[0] / (2 * T * T) - a[1] / T + a[2] * std::log(T) +
          T * (a[3] + T * (a[4] / 2 + T * (a[5] / 3 + T * a[6] / 4))) + a[8]);
}

double molar_mass(const Mixture& mixture) {
  double sum = 0;
  for (const auto& part : mixture) sum += part.mole_fraction * part.species->molar_mass;
  return sum;
}

double cp(const Mixture& mixture, double T) {
  double sum = 0;
  for (const auto& part : mixture) sum += part.mole_fraction * molar_cp(*part.species, T);
  return sum / molar_mass(mixture);
}

double gamma(const Mixture& mixture, double T) {
  const double c = cp(mixture, T);
  return c / (c - universal_gas_constant / molar_mass(mixture));
}

Mixture air_mixture() {
  return {
      {&nitrogen, 0.78084}, {&oxygen, 0.209476}, {&argon, 0.009365}, {&carbon_dioxide, 0.000319}};
}

Mixture burnt_mixture(double y, double lambda, double z) {
  const Mixture air = air_mixture();
  const double oxygen_needed = 1.0 + y / 4.0 - z / 2.0;  // mol O2 per mol CH_y O_z
  const double n_air = lambda * oxygen_needed / air[1].mole_fraction;
  const double n_n2 = n_air * air[0].mole_fraction;
  const double n_o2 = n_air * air[1].mole_fraction - oxygen_needed;
  const double n_ar = n_air * air[2].mole_fraction;
  const double n_co2 = 1.0 + n_air * air[3].mole_fraction;
  const double n_h2o = y / 2.0;
  const double n = n_n2 + n_o2 + n_ar + n_co2 + n_h2o;
  return {{&nitrogen, n_n2 / n},
          {&oxygen, n_o2 / n},
          {&argon, n_ar / n},
          {&carbon_dioxide, n_co2 / n},
          {&water, n_h2o / n}};
}

double stoichiometric_air_fuel(double y, double z) {
  const Mixture air = air_mixture();
  constexpr double carbon = 12.0107e-3;      // kg/mol
  constexpr double hydrogen = 1.00794e-3;    // kg/mol
  constexpr double one_oxygen = 15.9994e-3;  // kg/mol
  const double n_air = (1.0 + y / 4.0 - z / 2.0) / air[1].mole_fraction;
  return n_air * molar_mass(air) / (carbon + y * hydrogen + z * one_oxygen);
}

LinearFit fit_linear_cv(const Mixture& mixture, double T_low, double T_high) {
  constexpr std::size_t points = 200;
  const double R = universal_gas_constant / molar_mass(mixture);
  std::array<double, points> temperature, cv;
  double T_mean = 0, cv_mean = 0;
  for (std::size_t i = 0; i < points; ++i) {
    const double T = T_low + (T_high - T_low) * static_cast<double>(i) / (points - 1);
    temperature[i] = T;
    cv[i] = cp(mixture, T) - R;
    T_mean += T / points;
    cv_mean += cv[i] / points;
  }
  // The line of least squares, about the means.
  double squares = 0, products = 0;
  for (std::size_t i = 0; i < points; ++i) {
    squares += (temperature[i] - T_mean) * (temperature[i] - T_mean);
    products += (temperature[i] - T_mean) * (cv[i] - cv_mean);
  }
  const double slope = products / squares;
  const double at_zero = cv_mean - slope * T_mean;
  double worst = 0;
  for (std::size_t i = 0; i < points; ++i) {
    worst = std::max(worst, std::abs((at_zero + slope * temperature[i] - cv[i]) / cv[i]));
  }
  return {{R, at_zero, slope}, worst};
}

Gas air_and_products(double hydrogen_to_carbon, double oxygen_to_carbon) {
  return {fit_linear_cv({{&dry_air, 1.0}}, fit_low, fit_high).constituent,
          fit_linear_cv(burnt_mixture(hydrogen_to_carbon, 1.0, oxygen_to_carbon), fit_low, fit_high)
              .constituent};
}

}  // namespace pulsewright::solver
