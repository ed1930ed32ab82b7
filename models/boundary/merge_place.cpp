#include "models/boundary/merge_place.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace pulsewright::models {

double crotch_distance(double tube_diameter, double half_angle, double smallest_gap) {
  if (!(tube_diameter > 0 && half_angle > 0 && half_angle < 0.5 * std::numbers::pi &&
        smallest_gap > 0)) {
    throw std::invalid_argument("a crotch needs a tube diameter and angles above zero");
  }
  const double sine = std::sin(half_angle) * std::sin(0.5 * smallest_gap);
  const double cosine = std::sqrt(1.0 - sine * sine);
  return 0.5 * tube_diameter * std::cos(half_angle) / (sine * cosine);
}

double merge_behind_crotch(double tube_diameter, JunctionLaw law) {
  constexpr double with_lag = 0.19;
  constexpr double with_one_pressure = 0.65;
  return tube_diameter * (law == JunctionLaw::momentum ? with_lag : with_one_pressure);
}

}  // namespace pulsewright::models
