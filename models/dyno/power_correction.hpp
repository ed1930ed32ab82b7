// Power correction: from the air of the day to that of a standard, for naturally aspirated
// spark-ignition engines at full load. Corrected = factor x observed, torque and power alike.
//
//   SAE J1349   1.18 (99 kPa / p_d) sqrt(T / 298 K) - 0.18: a friction of 15 % of the indicated
//               power stays as it is [saej1990, from public restatements]; a later revision has
//               1.176 and 0.176, from memory
//   ISO 1585    (99 kPa / p_d)^1.2 (T / 298 K)^0.6 [iso1992, from memory]
//   SAE J607    (29.92 inHg / p_d) sqrt((t_F + 460) / 520), the older standard, withdrawn, and
//               still what "STD" means in the trade [saej1974, from public restatements]
//   DIN 70020   (1013 mbar / p) sqrt(T / 293 K), p with its water vapour [din1986, from memory];
//               Sodré and Soares (2003) compare it with the others
//
// p_d is the pressure of dry air, p less that of its water vapour. Absolute zero is taken at
// -273 degC and -460 degF, as the standards print it.
#pragma once

#include <limits>
#include <optional>
#include <string_view>

namespace pulsewright::models {

// In the order of the choices of dyno.correction.
enum class PowerCorrection { none, sae_j1349, iso_1585, sae_j607, din_70020 };

// Air before the engine.
struct TestAir {
  double pressure = 101325;     // Pa, with water vapour
  double temperature = 293.15;  // K
  double vapour_pressure = 0;   // Pa, of water

  double dry_pressure() const { return pressure - vapour_pressure; }  // Pa
};

// What observed torque or power is multiplied by; 1 for none. Throws std::invalid_argument where
// there is no dry air or no temperature above absolute zero.
double correction_factor(PowerCorrection standard, const TestAir& air);

// Factor on a figure that is corrected to `from` (none: observed) and is wanted as `to`, both of a
// run in this air. Throws as correction_factor().
double correction_between(PowerCorrection from, PowerCorrection to, const TestAir& air);

// Where a standard says that its factor holds.
struct CorrectionRange {
  double least_pressure = 0, most_pressure = 0;        // Pa, dry
  double least_temperature = 0, most_temperature = 0;  // K
  double least_factor = 0, most_factor = std::numeric_limits<double>::infinity();
};
// SAE J1349 and ISO 1585: from memory. None for standards that are not known to name one.
std::optional<CorrectionRange> correction_range(PowerCorrection standard);

// Whether the factor holds in this air; true for a standard without a range.
bool correction_holds(PowerCorrection standard, const TestAir& air);

// "SAE J1349", "as observed".
std::string_view correction_title(PowerCorrection standard);

}  // namespace pulsewright::models
