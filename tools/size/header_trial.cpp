#include "tools/size/header_trial.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "cases/header_builder.hpp"
#include "tools/study/band.hpp"
#include "tools/study/run_curves.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::size_t speeds_of_trial = 8;
constexpr double below_band = 0.85, above_band = 1.08;

std::vector<TrialPoint> results_of(const HeaderTrial& trial) {
  std::vector<TrialPoint> points;
  for (const TrialPoint& point : trial.points) {
    if (point.fault.empty()) points.push_back(point);
  }
  return points;
}

std::size_t highest(const std::vector<TrialPoint>& points) {
  const auto found =
      std::max_element(points.begin(), points.end(),
                       [](const auto& a, const auto& b) { return a.torque < b.torque; });
  return static_cast<std::size_t>(found - points.begin());
}

}  // namespace

std::vector<double> trial_speeds(double band_from, double band_to) {
  std::vector<double> speeds;
  const double from = below_band * band_from;
  const double to = above_band * band_to;
  for (std::size_t i = 0; i < speeds_of_trial; ++i) {
    const double share = static_cast<double>(i) / (speeds_of_trial - 1);
    speeds.push_back(std::round(60 * (from + share * (to - from)) / 50) * 50 / 60);
  }
  speeds.erase(std::unique(speeds.begin(), speeds.end()), speeds.end());
  return speeds;
}

std::optional<double> HeaderTrial::torque_peak() const {
  const auto results = results_of(*this);
  if (results.empty()) return std::nullopt;
  const std::size_t top = highest(results);
  if (top == 0 || top + 1 == results.size()) return results[top].speed;
  // Newton's form of the parabola through three points.
  const TrialPoint& a = results[top - 1];
  const TrialPoint& b = results[top];
  const TrialPoint& c = results[top + 1];
  const double first = (b.torque - a.torque) / (b.speed - a.speed);
  const double second = ((c.torque - b.torque) / (c.speed - b.speed) - first) / (c.speed - a.speed);
  return second < 0 ? (a.speed + b.speed) / 2 - first / (2 * second) : b.speed;
}

bool HeaderTrial::peak_at_end() const {
  const auto results = results_of(*this);
  if (results.empty()) return false;
  const std::size_t top = highest(results);
  return top == 0 || top + 1 == results.size();
}

std::optional<double> HeaderTrial::highest_power() const {
  std::optional<double> power;
  for (const TrialPoint& point : results_of(*this)) {
    if (!power || point.power > *power) power = point.power;
  }
  return power;
}

std::optional<double> HeaderTrial::band_torque(double from, double to) const {
  std::vector<double> speeds, torques;
  for (const TrialPoint& point : results_of(*this)) {
    speeds.push_back(point.speed);
    torques.push_back(point.torque);
  }
  const double slack = 1e-9 * to;
  // All of the band must lie between results.
  if (speeds.size() < 2 || speeds.front() > from + slack || speeds.back() < to - slack) {
    return std::nullopt;
  }
  const std::vector<double> weights = band_weights(speeds, from, to);
  return std::inner_product(weights.begin(), weights.end(), torques.begin(), 0.0);
}

std::vector<HeaderTrial> try_headers(const cases::CaseFile& case_file, double cell_size,
                                     unsigned threads, const std::atomic<bool>& stop,
                                     const std::function<void()>& done) {
  cases::BuildOptions build;
  build.cell_size = cell_size;
  std::vector<models::EngineSpecification> engines;
  for (const cases::HeaderDesign& header : case_file.headers) {
    engines.push_back(cases::build_engine(case_file, header, build));
  }
  const auto speeds = trial_speeds(case_file.run.band_from, case_file.run.band_to);
  std::vector<CurvePoint> points;
  for (const auto& engine : engines) {
    for (const double speed : speeds) {
      points.push_back({&engine, speed, figure_settings(case_file.run.settings), nullptr});
    }
  }
  const auto outcomes = run_curves(
      points, threads, [&] { return !stop; }, done);
  std::vector<HeaderTrial> trials;
  for (std::size_t h = 0; h < engines.size(); ++h) {
    HeaderTrial& trial = trials.emplace_back();
    trial.header = case_file.headers[h].name;
    for (std::size_t s = 0; s < speeds.size(); ++s) {
      const CurveOutcome& outcome = outcomes[h * speeds.size() + s];
      TrialPoint& point = trial.points.emplace_back();
      point.speed = speeds[s];
      point.fault = outcome.fault;
      if (!outcome.run) continue;
      point.torque = outcome.result().torque;
      point.power = outcome.result().power;
    }
  }
  return trials;
}

}  // namespace pulsewright::tools
