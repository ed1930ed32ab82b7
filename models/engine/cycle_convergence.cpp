#include "models/engine/cycle_convergence.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace pulsewright::models {

namespace {

// Largest remaining change over all further cycles, as a fraction of the tolerance.
constexpr double allowed_remainder = 0.5;

// Cycles whose smallest change is compared with that of as many cycles before: this part of all
// that there may be, and not fewer than so many.
constexpr int stretches = 5;
constexpr int least_stretch = 20;

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
  if (in_a_row_[1] == 1 && std::isfinite(change_before) && ratio < 1 &&
      change_ * ratio / (1.0 - ratio) <= allowed_remainder * tolerance_) {
    period_ = 1;
  }
  before_.push_front(std::move(monitored_quantities));
  if (before_.size() > longest) before_.pop_back();
  residuals_.push_back(residual_);
}

bool CycleConvergence::will_not_repeat_within(int most) const {
  const auto stretch = std::max(most / stretches, least_stretch);
  if (period_ > 0 || residuals_.size() < 2 * static_cast<std::size_t>(stretch)) return false;
  const double late = *std::min_element(residuals_.end() - stretch, residuals_.end());
  const double early =
      *std::min_element(residuals_.end() - 2 * stretch, residuals_.end() - stretch);
  if (!(late < early)) return true;
  if (late <= tolerance_) return false;
  const double stretches_to_go = std::log(tolerance_ / late) / std::log(late / early);
  return static_cast<double>(residuals_.size()) + stretch * stretches_to_go > most;
}

}  // namespace pulsewright::models
