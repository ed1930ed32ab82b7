#include "tools/search/aims.hpp"

#include <algorithm>
#include <iterator>

#include "tools/study/band.hpp"

namespace pulsewright::tools {

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
    if (weights[s] > 0) aims.mean += weights[s] * torques[s];  // others may have no torque
  }
  aims.dip = deepest_dip(speeds, torques, band.from, band.to).depth;
  aims.top = value_at(speeds, torques, band.to);
  if (shift_speed > 0) aims.shift = value_at(speeds, torques, shift_speed);
  return aims;
}

double score_of(const Aims& aims, const cases::AimWeights& weights) {
  double score = 0;
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    const double counted = weights.*weight_members[i] * aims.*aim_members[i];
    score += i == dip_aim ? -counted : counted;
  }
  return score;
}

}  // namespace pulsewright::tools
