#include "models/engine/cycle_acceleration.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>

namespace pulsewright::models {

namespace {

// The first cycles carry the waves of the start out of the pipes; their changes say little of what
// is left.
constexpr std::size_t least_cycles = 3;  // known before the first extrapolation
constexpr std::size_t most_cycles = 5;   // kept

// Weights of what the changes are measured by: relative changes of pressure, those of density, the
// velocity by a typical speed of sound, the burnt fraction. Density and burnt fraction are carried
// along with the gas and act on the waves through it alone. A cylinder counts as several cells.
constexpr double weight_of_gas = 0.3;
constexpr double speed_scale = 500;  // m/s
constexpr double weight_of_cylinder = 3;

// So much of the diagonal is added to the normal equations: where changes are alike, small weights
// are taken instead of large ones of either sign.
constexpr double regularization = 1e-5;

// A state may not be extrapolated by more than this in any of its numbers (e.g. a factor of
// exp(0.5) in a pressure).
constexpr double most_extrapolated = 0.5;

std::vector<double> state_of(const Network& network) {
  std::vector<double> state;
  for (const auto& pipe : network.pipes()) {
    for (std::size_t i = 0; i < pipe.cells(); ++i) {
      const auto w = pipe.state(i);
      state.push_back(std::log(w.p));
      state.push_back(weight_of_gas * std::log(w.rho));
      state.push_back(w.u / speed_scale);
      state.push_back(weight_of_gas * w.Y);
    }
  }
  const Cylinders& cylinders = network.cylinders();
  for (std::size_t i = 0; i < cylinders.size(); ++i) {
    state.push_back(weight_of_cylinder * std::log(cylinders.mass(i)));
    state.push_back(weight_of_cylinder * std::log(cylinders.temperature(i)));
    state.push_back(weight_of_cylinder * cylinders.burnt_mass(i) / cylinders.mass(i));
  }
  return state;
}

std::vector<double> masses_of(const Network& network) {
  std::vector<double> masses;
  for (const auto& pipe : network.pipes()) masses.push_back(pipe.mass());
  const Cylinders& cylinders = network.cylinders();
  for (std::size_t i = 0; i < cylinders.size(); ++i) masses.push_back(cylinders.mass(i));
  return masses;
}

// For as many cycles as are kept, in fixed storage.
using Small = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor,
                            static_cast<int>(most_cycles), static_cast<int>(most_cycles)>;
using SmallColumn =
    Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, static_cast<int>(most_cycles), 1>;

double product(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

std::vector<double> difference(const std::vector<double>& a, const std::vector<double>& b) {
  std::vector<double> result(a.size());
  std::transform(a.begin(), a.end(), b.begin(), result.begin(), std::minus<>());
  return result;
}

}  // namespace

void CycleAcceleration::start(const Network& network) {
  cycles_.clear();
  residual_ = std::numeric_limits<double>::infinity();
  start_ = state_of(network);
  start_masses_ = masses_of(network);
}

void CycleAcceleration::clear() {
  cycles_.clear();
  start_.clear();
  start_masses_.clear();
}

// In the order of the cycles; empty where none are found.
std::vector<double> CycleAcceleration::weights_of(const std::deque<Cycle>& cycles) {
  const Cycle& last = cycles.back();
  const std::size_t n = cycles.size() - 1;
  std::vector<std::vector<double>> differences;  // of the changes, the last less each one before
  for (std::size_t k = 0; k < n; ++k) {
    differences.push_back(difference(last.change, cycles[k].change));
  }
  // The least squares of the weighted changes, by their normal equations.
  Small normal(n, n);
  SmallColumn right(n);
  for (std::size_t k = 0; k < n; ++k) {
    const auto row = static_cast<Eigen::Index>(k);
    right[row] = product(differences[k], last.change);
    for (std::size_t m = 0; m < n; ++m) {
      normal(row, static_cast<Eigen::Index>(m)) = product(differences[k], differences[m]);
    }
    normal(row, row) *= 1.0 + regularization;
  }
  const SmallColumn found = normal.ldlt().solve(right);
  // How far the mean lies from the end of the last cycle.
  double farthest = 0;
  for (std::size_t i = 0; i < last.state.size(); ++i) {
    double beyond = 0;
    for (std::size_t k = 0; k < n; ++k) {
      beyond += found[static_cast<Eigen::Index>(k)] * (cycles[k].state[i] - last.state[i]);
    }
    farthest = std::max(farthest, std::abs(beyond));
  }
  const double part = farthest > most_extrapolated ? most_extrapolated / farthest : 1.0;
  std::vector<double> weights;
  double sum = 0;
  for (const double weight : found) {
    weights.push_back(part * weight);
    sum += part * weight;
  }
  weights.push_back(1.0 - sum);
  return std::isfinite(sum) ? weights : std::vector<double>();
}

void CycleAcceleration::add(const Network& network) {
  Cycle cycle{network, state_of(network), {}};
  cycle.change = difference(cycle.state, start_);
  const std::vector<double> masses = masses_of(network);
  residual_ = 0;
  for (std::size_t i = 0; i < masses.size(); ++i) {
    residual_ = std::max(residual_, std::abs(masses[i] / start_masses_[i] - 1.0));
  }
  start_ = cycle.state;
  start_masses_ = masses;
  cycles_.push_back(std::move(cycle));
  if (cycles_.size() > most_cycles) cycles_.pop_front();
}

void CycleAcceleration::extrapolate(Network& network) {
  if (cycles_.size() < least_cycles) return;
  const std::vector<double> weights = weights_of(cycles_);
  if (weights.empty()) return;
  std::vector<const Network*> ends;
  for (const Cycle& cycle : cycles_) ends.push_back(&cycle.end);
  network.set_mean(ends, weights);
  start_ = state_of(network);
  start_masses_ = masses_of(network);
}

}  // namespace pulsewright::models
