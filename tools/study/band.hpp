// Means over a band of speeds: the integral of what is run at single speeds, how well these resolve
// it, and which speeds to add.
//
// Between the speeds a figure is taken as linear. Speeds in rev/s, ascending; values one per speed.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace pulsewright::tools {

// Where both edges are one speed: that speed alone.
struct Band {
  double from = 0, to = 0;  // rev/s
  bool is_one_speed() const { return !(to > from); }
};

// Whether a speed lies in [from, to], within rounding.
bool in_band(double speed, double from, double to);

// The part of [from, to] that the speeds reach; all of it where they reach none or there are none.
std::pair<double, double> reached_band(const std::vector<double>& speeds, double from, double to);

// Weights of the values, which sum to 1: the mean of the interpolated figure over [from, to], or
// over as much of it as the speeds reach. Where that is nothing, the speed nearest to the band
// counts alone. Empty without speeds.
std::vector<double> band_weights(const std::vector<double>& speeds, double from, double to);

// What each interval between two speeds may contribute to the error of that mean, one less than
// speeds, in the unit of the values: h^3 |f''| / 12 over the width of the band, the error of the
// trapezoidal rule (Abramowitz and Stegun 1964, 25.4.1), or that of linear interpolation over the
// part that lies within the band, with the larger of the second divided differences at both ends; 0
// outside the band and for fewer than three speeds.
std::vector<double> interval_errors(const std::vector<double>& speeds,
                                    const std::vector<double>& values, double from, double to);

// Root of the sum of squares of these errors: bends between speeds have either sign.
double resolution_error(const std::vector<double>& errors);

// Speeds to add so that the mean is known to `wanted`: middles of the intervals with the largest
// errors, each of which halving makes about an eighth. No interval gets shorter than `least`,
// rev/s.
std::vector<double> speeds_to_add(const std::vector<double>& speeds,
                                  const std::vector<double>& errors, double wanted, double least);

// Where torque falls and comes back within a band: below the smaller of the maxima to both sides.
struct Dip {
  double depth = 0;  // N m, 0 without one
  double speed = 0;  // rev/s
};

// The deepest of the torques (N m) at the speeds within [from, to].
Dip deepest_dip(const std::vector<double>& speeds, const std::vector<double>& torques, double from,
                double to);

// Speeds at which the interpolated values change their sign, within [from, to].
std::vector<double> sign_changes(const std::vector<double>& speeds,
                                 const std::vector<double>& values, double from, double to);

}  // namespace pulsewright::tools
