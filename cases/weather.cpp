#include "cases/weather.hpp"

#include <algorithm>
#include <cmath>

namespace pulsewright::cases {

double standard_pressure(double height) {
  constexpr double sea_level_pressure = 101325;       // Pa
  constexpr double sea_level_temperature = 288.15;    // K
  constexpr double lapse_rate = 6.5e-3;               // K/m
  constexpr double gravity = 9.80665;                 // m/s2
  constexpr double gas_constant = 8314.32 / 28.9644;  // J/(kg K)
  return sea_level_pressure * std::pow(1 - lapse_rate * height / sea_level_temperature,
                                       gravity / (gas_constant * lapse_rate));
}

double saturation_pressure(double T) {
  const double celsius = T - 273.15;
  return 610.78 * std::exp(17.2693882 * celsius / (celsius + 237.3));
}

double water_vapour(double pressure, double T, double relative_humidity) {
  return std::min(1.0, relative_humidity * saturation_pressure(T) / pressure);
}

}  // namespace pulsewright::cases
