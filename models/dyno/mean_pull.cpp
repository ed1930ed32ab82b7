#include "models/dyno/mean_pull.hpp"

#include <Eigen/Core>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <vector>

namespace pulsewright::models {

namespace {

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double normal_95 = 1.96;  // of the normal distribution

constexpr std::size_t local_samples = 5;
constexpr double least_reach = 2.5;  // rev/s

// How far the samples of the local parabola reach; NaN where they lie too far apart for the step.
double reach_at(const PullSamples& pull, double speed, double step) {
  if (pull.speed.size() < local_samples) return nothing;
  std::vector<double> distance;
  for (const double at : pull.speed) distance.push_back(std::abs(at - speed));
  const auto last = distance.begin() + (local_samples - 1);
  std::nth_element(distance.begin(), last, distance.end());
  return *last <= 1.5 * step ? std::max(*last, std::min(step, least_reach)) : nothing;
}

// Local parabola at `speed`; NaN where fewer than three samples lie within its reach or none on one
// of the sides.
double parabola_at(const PullSamples& pull, double speed, double step) {
  const double reach = reach_at(pull, speed, step);
  if (!(reach > 0)) return nothing;
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  int samples = 0;
  bool below = false, above = false;
  for (std::size_t i = 0; i < pull.speed.size(); ++i) {
    const double d = (pull.speed[i] - speed) / reach;
    const double rest = 1 - std::abs(d * d * d);
    if (!(rest > 1e-6)) continue;
    const double weight = rest * rest * rest;
    const Eigen::Vector3d powers(1, d, d * d);
    normal += weight * powers * powers.transpose();
    right += weight * pull.value[i] * powers;
    ++samples;
    below = below || d <= 0;
    above = above || d >= 0;
  }
  if (samples < 3 || !below || !above) return nothing;
  const Eigen::Matrix3d inverse = normal.inverse();
  const auto norm = [](const Eigen::Matrix3d& m) {
    return m.cwiseAbs().colwise().sum().maxCoeff();
  };
  // Samples at two speeds alone make no parabola.
  return norm(normal) * norm(inverse) < 1e8 ? inverse.row(0).dot(right) : nothing;
}

}  // namespace

double student_t_95(std::size_t degrees) {
  if (degrees == 0) throw std::invalid_argument("Student's t: no degree of freedom");
  const bool odd = degrees % 2 == 1;
  // The part of the distribution between -t and t; angle = atan(t / sqrt(degrees)).
  const auto part_within = [&](double angle) {
    const double cosine = std::cos(angle);
    double term = odd ? cosine : 1.0;
    double sum = degrees > 1 ? term : 0.0;
    for (std::size_t k = odd ? 3 : 2; k < degrees; k += 2) {
      term *= cosine * cosine * static_cast<double>(k - 1) / static_cast<double>(k);
      sum += term;
    }
    sum *= std::sin(angle);
    return odd ? 2 / std::numbers::pi * (angle + sum) : sum;
  };
  double low = 0, high = 0.5 * std::numbers::pi;
  for (int i = 0; i < 60; ++i) {  // halves the angle to its last bit
    const double middle = 0.5 * (low + high);
    (part_within(middle) < 0.95 ? low : high) = middle;
  }
  return std::sqrt(static_cast<double>(degrees)) * std::tan(low);
}

double pull_at(const PullSamples& pull, double speed, double step) {
  const double smooth = parabola_at(pull, speed, step);
  if (std::isfinite(smooth)) return smooth;
  double below = -std::numeric_limits<double>::infinity(), above = -below;
  double sum_below = 0, sum_above = 0, n_below = 0, n_above = 0;
  for (std::size_t i = 0; i < pull.speed.size(); ++i) {
    const double at = pull.speed[i];
    if (at <= speed) {
      if (at > below) below = at, sum_below = n_below = 0;
      if (at == below) sum_below += pull.value[i], n_below += 1;
    }
    if (at >= speed) {
      if (at < above) above = at, sum_above = n_above = 0;
      if (at == above) sum_above += pull.value[i], n_above += 1;
    }
  }
  const double reach = step * (1 + 1e-9);
  if (n_below == 0 || n_above == 0 || speed - below > reach || above - speed > reach) {
    return nothing;
  }
  const double low = sum_below / n_below, high = sum_above / n_above;
  return above > below ? low + (high - low) * (speed - below) / (above - below) : low;
}

double MeanPull::half_interval(std::size_t i, double least) const {
  const double n = static_cast<double>(count[i]);
  if (count[i] == 0) return nothing;
  double relative = normal_95 * least / std::sqrt(n);
  if (pulls > 1) {
    const double t = student_t_95(pulls - 1);
    relative = std::max(relative, t * scatter / std::sqrt(n));
  }
  return relative * std::abs(value[i]);
}

MeanPull mean_of_pulls(std::span<const PullSamples> pulls, std::span<const double> speeds,
                       double step) {
  if (pulls.empty() || !(step > 0)) {
    throw std::invalid_argument("mean of pulls: no pull, or a step that is not positive");
  }
  for (const PullSamples& pull : pulls) {
    if (pull.speed.size() != pull.value.size()) {
      throw std::invalid_argument("mean of pulls: as many values as speeds are needed");
    }
  }
  MeanPull out;
  out.pulls = pulls.size();
  double squares = 0, freedom = 0;
  for (const double speed : speeds) {
    std::vector<double> values;
    for (const PullSamples& pull : pulls) {
      const double value = pull_at(pull, speed, step);
      if (std::isfinite(value)) values.push_back(value);
    }
    double mean = 0;
    for (const double value : values) mean += value / static_cast<double>(values.size());
    double square = 0;
    for (const double value : values) square += (value - mean) * (value - mean);
    const double more = static_cast<double>(values.size()) - 1;
    if (more > 0 && mean != 0) {
      squares += square / (mean * mean);
      freedom += more;
    }
    out.speed.push_back(speed);
    out.value.push_back(values.empty() ? nothing : mean);
    out.count.push_back(values.size());
  }
  if (freedom > 0) out.scatter = std::sqrt(squares / freedom);
  return out;
}

}  // namespace pulsewright::models
