#include "tools/study/interference.hpp"

#include <cmath>
#include <limits>
#include <optional>
#include <string>

namespace pulsewright::tools {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// Overlap pressures of the cylinders; none for a point without numbers.
std::optional<std::vector<double>> overlap_pressures(const ResultsReader& results,
                                                     std::size_t index, std::size_t speed) {
  const PointStatus status = results.status(index, speed);
  if (status != PointStatus::converged && status != PointStatus::not_converged) {
    return std::nullopt;
  }
  std::vector<double> pressures;
  const auto point = results.point(index, speed, ResultsReader::Detail::figures);
  for (const auto& cylinder : point.cylinders) {
    pressures.push_back(cylinder.overlap_exhaust_pressure);
  }
  return pressures;
}

}  // namespace

std::vector<Interference> read_interference(const ResultsReader& results) {
  std::vector<Interference> all;
  const StudyPlan& plan = results.plan();
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    const HeaderPlan& header_plan = plan.headers[c];
    const auto whole = results.find(header_plan.group + "/variants/coarse");
    std::vector<std::size_t> absorbed;
    for (const int number : header_plan.cylinder_numbers) {
      const auto found =
          results.find(header_plan.group + "/variants/absorbed-" + std::to_string(number));
      if (found) absorbed.push_back(*found);
    }
    const std::size_t n = header_plan.cylinder_numbers.size();
    if (!whole || absorbed.empty() || absorbed.size() != n) continue;
    Interference one{c, {}};
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      InterferencePoint point{plan.speeds[s], {}, 0};
      point.change.assign(n, std::vector<double>(n, nan));
      const auto with_all = overlap_pressures(results, *whole, s);
      for (std::size_t i = 0; i < n; ++i) {
        const double seconds = results.seconds(absorbed[i], s);
        if (std::isfinite(seconds)) point.seconds += seconds;
        const auto without = overlap_pressures(results, absorbed[i], s);
        if (!with_all || !without) continue;
        for (std::size_t j = 0; j < n; ++j) point.change[j][i] = (*with_all)[j] - (*without)[j];
      }
      one.points.push_back(std::move(point));
    }
    all.push_back(std::move(one));
  }
  return all;
}

}  // namespace pulsewright::tools
