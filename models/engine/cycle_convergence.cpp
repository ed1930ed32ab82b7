#include "models/engine/cycle_convergence.hpp"

#include <algorithm>
#include <cmath>

namespace pulsewright::models {

namespace {

// Largest remaining change over all further cycles, as a fraction of the tolerance.
constexpr double allowed_remainder = 0.5;

// Largest relative change between the monitored quantities of two cycles; infinite
// when one has a NaN.
double change_between(const std::vector<double>& a, const std::vector<double>& b) {
  double largest = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const double scale = std::max(std::abs(a[i]), std::abs(b[i]));
    const double change = std::abs(a[i] - b[i]) / (scale > 0 ? scale : 1.0);
    if (!std::isfinite(a[i]) || !std::isfinite(b[i])) {
      return std::numeric_limits<double>::infinity();
    }
    largest = std::max(largest, change);
  }
  return largest;
}

}  // namespace

void CycleConvergence::add(std::vector<double> monitored_quantities) {
  period_ = 0;
  residual_ = std::numeric_limits<double>::infinity();
  const double change_before = change_;
  for (std::size_t lag = 1; lag <= before_.size(); ++lag) {
    const double change = change_between(monitored_quantities, before_[lag - 1]);
    if (lag == 1) change_ = change;
    residual_ = std::min(residual_, change);
    in_a_row_[lag] = change <= tolerance_ ? in_a_row_[lag] + 1 : 0;
    if (period_ == 0 && in_a_row_[lag] >= 2 * static_cast<int>(lag)) {
      period_ = static_cast<int>(lag);
    }
  }
  // Where the change shrinks by a constant factor from cycle to cycle, the remaining change is
  // known: the sum of a geometric series.
  const double ratio = change_ / change_before;
  if (in_a_row_[1] == 1 && ratio < 1 &&
      change_ * ratio / (1.0 - ratio) <= allowed_remainder * tolerance_) {
    period_ = 1;
  }
  before_.push_front(std::move(monitored_quantities));
  if (before_.size() > longest) before_.pop_back();
}

}  // namespace pulsewright::models
