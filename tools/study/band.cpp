#include "tools/study/band.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace pulsewright::tools {

namespace {

constexpr double edge_slack = 1e-6;  // rev/s, of a speed against an edge of the band

}  // namespace

bool in_band(double speed, double from, double to) {
  return speed >= from - edge_slack && speed <= to + edge_slack;
}

std::pair<double, double> reached_band(const std::vector<double>& speeds, double from, double to) {
  if (speeds.empty()) return {from, to};
  const double low = std::max(from, speeds.front());
  const double high = std::min(to, speeds.back());
  return low < high ? std::pair{low, high} : std::pair{from, to};
}

std::vector<double> band_weights(const std::vector<double>& speeds, double from, double to) {
  std::vector<double> weights(speeds.size(), 0.0);
  if (speeds.empty()) return weights;
  double width = 0;
  for (std::size_t i = 0; i + 1 < speeds.size(); ++i) {
    const double a = std::max(from, speeds[i]);
    const double b = std::min(to, speeds[i + 1]);
    if (!(b > a)) continue;
    const double middle = (0.5 * (a + b) - speeds[i]) / (speeds[i + 1] - speeds[i]);
    weights[i] += (b - a) * (1.0 - middle);
    weights[i + 1] += (b - a) * middle;
    width += b - a;
  }
  if (width > edge_slack) {
    for (double& w : weights) w /= width;
    return weights;
  }
  const double centre = 0.5 * (from + to);
  const auto nearest = std::min_element(speeds.begin(), speeds.end(), [&](double x, double y) {
    return std::abs(x - centre) < std::abs(y - centre);
  });
  std::fill(weights.begin(), weights.end(), 0.0);
  weights[static_cast<std::size_t>(nearest - speeds.begin())] = 1.0;
  return weights;
}

std::vector<double> interval_errors(const std::vector<double>& speeds,
                                    const std::vector<double>& values, double from, double to) {
  const std::size_t n = speeds.size();
  std::vector<double> errors(n > 0 ? n - 1 : 0, 0.0);
  if (n < 3 || !(to > from)) return errors;
  std::vector<double> bend(n, 0.0);  // |f''|
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double left = (values[i] - values[i - 1]) / (speeds[i] - speeds[i - 1]);
    const double right = (values[i + 1] - values[i]) / (speeds[i + 1] - speeds[i]);
    bend[i] = 2.0 * std::abs(right - left) / (speeds[i + 1] - speeds[i - 1]);
  }
  for (std::size_t i = 0; i + 1 < n; ++i) {
    if (speeds[i + 1] <= from + edge_slack || speeds[i] >= to - edge_slack) continue;
    const double h = speeds[i + 1] - speeds[i];
    // Integral of the error of linear interpolation, f'' / 2 (x - a)(b - x), up to x.
    const auto up_to = [&](double x) {
      const double t = std::clamp((x - speeds[i]) / h, 0.0, 1.0);
      return h * h * h * t * t * (0.25 - t / 6.0);
    };
    errors[i] = std::max(bend[i], bend[i + 1]) * (up_to(to) - up_to(from)) / (to - from);
  }
  return errors;
}

double resolution_error(const std::vector<double>& errors) {
  return std::sqrt(std::inner_product(errors.begin(), errors.end(), errors.begin(), 0.0));
}

std::vector<double> speeds_to_add(const std::vector<double>& speeds,
                                  const std::vector<double>& errors, double wanted, double least) {
  constexpr double gain = 1.0 / 8.0;
  std::vector<std::size_t> order(errors.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return errors[a] > errors[b]; });
  std::vector<double> left = errors;
  std::vector<double> added;
  for (const std::size_t i : order) {
    if (resolution_error(left) <= wanted || !(errors[i] > 0)) break;
    if (speeds[i + 1] - speeds[i] < 2.0 * least) continue;
    added.push_back(0.5 * (speeds[i] + speeds[i + 1]));
    left[i] *= gain;
  }
  return added;
}

Dip deepest_dip(const std::vector<double>& speeds, const std::vector<double>& torques, double from,
                double to) {
  std::vector<std::size_t> within;
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    if (in_band(speeds[s], from, to)) within.push_back(s);
  }
  std::vector<double> from_above(within.size());  // largest torque at this speed and above
  double largest = 0;
  for (std::size_t i = within.size(); i-- > 0;) {
    from_above[i] = largest = std::max(largest, torques[within[i]]);
  }
  Dip dip;
  largest = 0;
  for (std::size_t i = 0; i < within.size(); ++i) {
    const double torque = torques[within[i]];
    largest = std::max(largest, torque);
    const double depth = std::min(largest, from_above[i]) - torque;
    if (depth > dip.depth) dip = {depth, speeds[within[i]]};
  }
  return dip;
}

std::vector<double> sign_changes(const std::vector<double>& speeds,
                                 const std::vector<double>& values, double from, double to) {
  std::vector<double> found;
  for (std::size_t i = 0; i + 1 < speeds.size(); ++i) {
    if (!(values[i] * values[i + 1] < 0)) continue;
    const double share = values[i] / (values[i] - values[i + 1]);
    const double at = speeds[i] + share * (speeds[i + 1] - speeds[i]);
    if (at >= from && at <= to) found.push_back(at);
  }
  return found;
}

}  // namespace pulsewright::tools
