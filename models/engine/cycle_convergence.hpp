// Whether a series of cycles has converged to a periodic one.
//
// Each cycle is represented by its monitored quantities, a few numbers that sum it up. They are
// compared with those of one, two and three cycles before; the pattern has the period at which all
// numbers repeat within the tolerance for two periods in a row, and period 1 already when they do
// once and what is left of the change, the rest of a geometric series, is small against the
// tolerance.
#pragma once

#include <array>
#include <deque>
#include <limits>
#include <vector>

namespace pulsewright::models {

class CycleConvergence {
 public:
  // tolerance: of the relative change of each number.
  explicit CycleConvergence(double tolerance) : tolerance_(tolerance) {}

  // The monitored quantities of the next cycle, as many as before. NaN and infinity never repeat.
  void add(std::vector<double> monitored_quantities);

  // Smallest number of cycles after which the pattern repeats, 0 while it does not.
  int period() const { return period_; }
  // Relative change of the last cycle against the most similar of the three before; infinite at
  // first.
  double residual() const { return residual_; }

 private:
  static constexpr std::size_t longest = 3;  // period, in cycles

  double tolerance_;
  std::deque<std::vector<double>> before_;   // the newest first
  std::array<int, longest + 1> in_a_row_{};  // by lag: cycles in a row that repeated
  double change_ =
      std::numeric_limits<double>::infinity();  // of the last cycle against the one before
  double residual_ = std::numeric_limits<double>::infinity();
  int period_ = 0;
};

}  // namespace pulsewright::models
