#include "models/dyno/mean_pull.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace pulsewright::models {

namespace {

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double normal_95 = 1.96;  // of the normal distribution

// Line of least squares through the samples within half a step, at `speed`; NaN where fewer than
// three lie there or all at one speed.
double line_at(const PullSamples& pull, double speed, double step) {
  double n = 0, x = 0, y = 0, xx = 0, xy = 0;
  for (std::size_t i = 0; i < pull.speed.size(); ++i) {
    const double dx = pull.speed[i] - speed;
    if (std::abs(dx) > 0.5 * step) continue;
    n += 1;
    x += dx;
    y += pull.value[i];
    xx += dx * dx;
    xy += dx * pull.value[i];
  }
  const double spread = n * xx - x * x;
  if (n < 3 || !(spread > 1e-9 * n * n * step * step)) return nothing;
  // Beyond the samples the line would be extrapolated: they must lie on both sides.
  if (std::abs(x / n) > 0.25 * step) return nothing;
  return (y * xx - x * xy) / spread;
}

}  // namespace

double pull_at(const PullSamples& pull, double speed, double step) {
  const double line = line_at(pull, speed, step);
  if (std::isfinite(line)) return line;
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
  if (count[i] > 1 && pulls > 1) {
    const boost::math::students_t t(static_cast<double>(pulls - 1));
    relative = std::max(relative, boost::math::quantile(t, 0.975) * scatter / std::sqrt(n));
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
    out.deviation.push_back(more > 0 ? std::sqrt(square / more) : nothing);
    out.count.push_back(values.size());
  }
  if (freedom > 0) out.scatter = std::sqrt(squares / freedom);
  return out;
}

}  // namespace pulsewright::models
