#include "tools/search/aims.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "tools/study/band.hpp"

namespace pulsewright::tools {

namespace {

constexpr double least_weight = 1e-9;  // less comes of the rounding of a band's edge

// The speeds whose torque the aims are made of, as places in the list.
std::vector<std::size_t> speeds_of_aims(const std::vector<double>& speeds, Band band,
                                        double shift_speed) {
  std::vector<std::size_t> places;
  const auto weights = band_weights(speeds, band.from, band.to);
  const auto above = static_cast<std::size_t>(
      std::lower_bound(speeds.begin(), speeds.end(), shift_speed) - speeds.begin());
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    const bool at_shift =
        shift_speed > 0 && (s == std::min(above, speeds.size() - 1) || s + 1 == above);
    if (weights[s] > least_weight || at_shift) places.push_back(s);
  }
  return places;
}

}  // namespace

double value_at(const std::vector<double>& speeds, const std::vector<double>& values,
                double speed) {
  const auto above = std::lower_bound(speeds.begin(), speeds.end(), speed);
  if (above == speeds.begin()) return values.front();
  if (above == speeds.end()) return values.back();
  const auto i = static_cast<std::size_t>(above - speeds.begin());
  const double part = (speed - speeds[i - 1]) / (speeds[i] - speeds[i - 1]);
  return values[i - 1] + part * (values[i] - values[i - 1]);
}

Aims aims_of(const std::vector<double>& speeds, const std::vector<double>& torques, Band band,
             double shift_speed) {
  const auto weights = band_weights(speeds, band.from, band.to);
  Aims aims;
  for (std::size_t s = 0; s < weights.size(); ++s) {
    if (weights[s] > least_weight) aims.mean += weights[s] * torques[s];  // others may have none
  }
  aims.dip = deepest_dip(speeds, torques, band.from, band.to).depth;
  aims.top = value_at(speeds, torques, band.to);
  if (shift_speed > 0) aims.shift = value_at(speeds, torques, shift_speed);
  return aims;
}

bool has_figures_in(const std::vector<double>& speeds, const Trial& trial, Band band,
                    double shift_speed) {
  const auto places = speeds_of_aims(speeds, band, shift_speed);
  return std::all_of(places.begin(), places.end(),
                     [&](std::size_t s) { return std::isfinite(trial.torque[s]); });
}

bool counts_in(const std::vector<double>& speeds, const Trial& trial, Band band,
               double shift_speed) {
  const auto places = speeds_of_aims(speeds, band, shift_speed);
  return std::none_of(places.begin(), places.end(),
                      [&](std::size_t s) { return trial.faults[s].has_value(); });
}

double score_of(const Aims& aims, const cases::AimWeights& weights) {
  double score = 0;
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    if (!(weights.*weight_members[i] > 0)) continue;
    const double counted = weights.*weight_members[i] * aims.*aim_members[i];
    score += i == dip_aim ? -counted : counted;
  }
  return score;
}

}  // namespace pulsewright::tools
