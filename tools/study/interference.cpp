#include "tools/study/interference.hpp"

#include <cmath>
#include <limits>
#include <optional>

namespace pulsewright::tools {

namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

// Overlap pressures of the cylinders; none for a point without numbers.
std::optional<std::vector<double>> overlap_pressures(const StoredPoint& point) {
  if (!point.result) return std::nullopt;
  std::vector<double> pressures;
  for (const auto& cylinder : point.result->cylinders) {
    pressures.push_back(cylinder.overlap_exhaust_pressure);
  }
  return pressures;
}

InterferencePoint interference_at(const StoredRun& whole,
                                  const std::vector<const StoredRun*>& absorbed, std::size_t s,
                                  double speed) {
  const std::size_t n = absorbed.size();
  InterferencePoint point{speed, {}, 0};
  point.change.assign(n, std::vector<double>(n, no_value));
  const auto with_all = overlap_pressures(whole.points[s]);
  for (std::size_t i = 0; i < n; ++i) {
    const StoredPoint& stored = absorbed[i]->points[s];
    if (std::isfinite(stored.seconds)) point.seconds += stored.seconds;
    const auto without = overlap_pressures(stored);
    if (!with_all || !without) continue;
    for (std::size_t j = 0; j < n; ++j) point.change[j][i] = (*with_all)[j] - (*without)[j];
  }
  return point;
}

}  // namespace

std::vector<Interference> interference_of(const StudyResults& results) {
  std::vector<Interference> all;
  const StudyPlan& plan = results.plan();
  for (std::size_t h = 0; h < results.headers().size(); ++h) {
    const StoredHeader& header = results.headers()[h];
    const auto& numbers = results.plan_of(header).cylinder_numbers;
    const StoredRun* whole = header.find(coarse_grid);
    std::vector<const StoredRun*> absorbed;
    for (const int number : numbers) {
      if (const StoredRun* run = header.find(without_pulse_of(number))) absorbed.push_back(run);
    }
    if (whole == nullptr || absorbed.empty() || absorbed.size() != numbers.size()) continue;
    Interference one{h, {}};
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      one.points.push_back(interference_at(*whole, absorbed, s, plan.speeds[s]));
    }
    all.push_back(std::move(one));
  }
  return all;
}

}  // namespace pulsewright::tools
