#include "models/dyno/power_correction.hpp"

#include <cmath>
#include <stdexcept>

namespace pulsewright::models {

namespace {

constexpr double reference_pressure = 99e3;    // Pa, dry: SAE J1349, ISO 1585
constexpr double reference_temperature = 298;  // K
constexpr double inch_of_mercury = 3386.38;    // Pa
constexpr double older_pressure = 29.92 * inch_of_mercury;
constexpr double din_pressure = 101300;  // Pa
constexpr double din_temperature = 293;  // K

// As the standards print it: degC + 273.
double printed_kelvin(double T) { return T - 0.15; }
// degF + 460.
double printed_rankine(double T) { return (T - 273.15) * 1.8 + 32 + 460; }

}  // namespace

double correction_factor(PowerCorrection standard, const TestAir& air) {
  const double dry = air.dry_pressure();
  const double T = printed_kelvin(air.temperature);
  if (!(dry > 0 && air.vapour_pressure >= 0 && T > 0)) {
    throw std::invalid_argument("power correction: the air has no pressure or no temperature");
  }
  switch (standard) {
    case PowerCorrection::none:
      return 1;
    case PowerCorrection::sae_j1349:
      return 1.18 * (reference_pressure / dry) * std::sqrt(T / reference_temperature) - 0.18;
    case PowerCorrection::iso_1585:
      return std::pow(reference_pressure / dry, 1.2) * std::pow(T / reference_temperature, 0.6);
    case PowerCorrection::sae_j607:
      return older_pressure / dry * std::sqrt(printed_rankine(air.temperature) / 520);
    case PowerCorrection::din_70020:
      return din_pressure / air.pressure * std::sqrt(T / din_temperature);
  }
  return 1;
}

double correction_between(PowerCorrection from, PowerCorrection to, const TestAir& air) {
  return correction_factor(to, air) / correction_factor(from, air);
}

std::optional<CorrectionRange> correction_range(PowerCorrection standard) {
  switch (standard) {
    case PowerCorrection::sae_j1349:
      return CorrectionRange{90e3, 105e3, 288.15, 308.15};
    case PowerCorrection::iso_1585:
      return CorrectionRange{80e3, 110e3, 288.15, 308.15, 0.93, 1.07};
    case PowerCorrection::none:
    case PowerCorrection::sae_j607:
    case PowerCorrection::din_70020:
      break;
  }
  return std::nullopt;
}

bool correction_holds(PowerCorrection standard, const TestAir& air) {
  const auto range = correction_range(standard);
  if (!range) return true;
  const double factor = correction_factor(standard, air);
  return air.dry_pressure() >= range->least_pressure &&
         air.dry_pressure() <= range->most_pressure &&
         air.temperature >= range->least_temperature &&
         air.temperature <= range->most_temperature && factor >= range->least_factor &&
         factor <= range->most_factor;
}

std::string_view correction_title(PowerCorrection standard) {
  switch (standard) {
    case PowerCorrection::sae_j1349:
      return "SAE J1349";
    case PowerCorrection::iso_1585:
      return "ISO 1585";
    case PowerCorrection::sae_j607:
      return "SAE J607";
    case PowerCorrection::din_70020:
      return "DIN 70020";
    case PowerCorrection::none:
      break;
  }
  return "as observed";
}

}  // namespace pulsewright::models
