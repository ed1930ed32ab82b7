#include "models/sound/sound_level.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "models/sound/band_limit.hpp"

namespace pulsewright::models {

namespace {

// Mean square of pressure, Pa2, as a level.
double level_of(double mean_square) {
  if (!(mean_square > 0)) return -std::numeric_limits<double>::infinity();
  return 10 * std::log10(mean_square / (reference_pressure * reference_pressure));
}

// As a factor on the amplitude, not normalised.
double a_response(double f) {
  constexpr double f1 = 20.598997, f2 = 107.65265, f3 = 737.86223, f4 = 12194.217;  // Hz
  const double s = f * f;
  return f4 * f4 * s * s /
         ((s + f1 * f1) * std::sqrt((s + f2 * f2) * (s + f3 * f3)) * (s + f4 * f4));
}

}  // namespace

OrderContent pressure_content(const Listening& place, const SpeedContent& content, double limit) {
  if (content.outlets.size() != place.outlets()) {
    throw std::invalid_argument("sound: the flow and the place have different outlets");
  }
  const double cycle = 0.5 * content.speed;
  std::size_t orders = 0;
  for (const OrderContent& outlet : content.outlets) orders = std::max(orders, outlet.size());
  orders = std::min(orders, static_cast<std::size_t>(limit / cycle) + 1);
  OrderContent pressure(orders);
  for (std::size_t m = 1; m < orders; ++m) {
    const double f = static_cast<double>(m) * cycle;
    for (std::size_t o = 0; o < content.outlets.size(); ++o) {
      if (m < content.outlets[o].size())
        pressure[m] += place.transfer(o, f) * content.outlets[o][m];
    }
    pressure[m] *= band_weight(f, limit);
  }
  return pressure;
}

double a_weighting(double f) { return 20 * std::log10(a_response(f) / a_response(1000)); }

SoundLevel sound_level(const OrderContent& pressure, double cycle) {
  double plain = 0;
  double weighted = 0;
  for (std::size_t m = 1; m < pressure.size(); ++m) {
    const double mean_square = 0.5 * std::norm(pressure[m]);
    plain += mean_square;
    weighted += std::pow(10, 0.1 * a_weighting(static_cast<double>(m) * cycle)) * mean_square;
  }
  return {level_of(plain), level_of(weighted)};
}

double order_level(const std::complex<double>& amplitude) {
  return level_of(0.5 * std::norm(amplitude));
}

}  // namespace pulsewright::models
