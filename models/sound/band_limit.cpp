#include "models/sound/band_limit.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

namespace pulsewright::models {

BandLimit band_limit(double radius, double cell_size, double sound_speed, std::size_t trace_points,
                     double speed) {
  constexpr double first_mode = 1.8412;
  constexpr double cells_per_wavelength = 10;
  constexpr double used_part = 0.8;
  const BandLimit limits[] = {
      {first_mode * sound_speed / (2 * std::numbers::pi * radius), BandReason::higher_modes},
      {sound_speed / (cells_per_wavelength * cell_size), BandReason::cells},
      {used_part * 0.5 * static_cast<double>(trace_points) * 0.5 * speed, BandReason::trace}};
  return *std::min_element(std::begin(limits), std::end(limits),
                           [](const auto& a, const auto& b) { return a.frequency < b.frequency; });
}

double band_weight(double f, double limit) {
  constexpr double full = 0.9;
  const double into = (f / limit - full) / (1 - full);
  return 0.5 * (1 + std::cos(std::numbers::pi * std::clamp(into, 0.0, 1.0)));
}

}  // namespace pulsewright::models
