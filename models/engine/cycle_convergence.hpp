// Whether a series of cycles has converged to a periodic one.
//
// Each cycle is represented by its monitored quantities, a few numbers that sum it up. They are
// compared with those of one, two and three cycles before; the pattern has the period at which all
// numbers repeat within the tolerance for two periods in a row, and period 1 already when they do
// once and what is left of the change, the rest of a geometric series, is small against the
// tolerance.
//
// Series that will not converge are recognised by their trend: the smallest changes of two
// stretches of cycles, one after the other, as long as a fifth of the cycles that there may be.
// Slow modes may turn once round in 17 cycles, with a change that falls and rises meanwhile, so a
// stretch is no shorter than 20.
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
  // Whether the pattern does not repeat and will not within `most` cycles in all: the change has
  // not fallen from one stretch to the next, or falls so slowly that at this rate it is still above
  // the tolerance then. False before two stretches are complete.
  bool will_not_repeat_within(int most) const;

 private:
  static constexpr std::size_t longest = 3;  // period, in cycles

  double tolerance_;
  std::deque<std::vector<double>> before_;   // the newest first
  std::array<int, longest + 1> in_a_row_{};  // by lag: cycles in a row that repeated
  double change_ =
      std::numeric_limits<double>::infinity();  // of the last cycle against the one before
  double residual_ = std::numeric_limits<double>::infinity();
  std::vector<double> residuals_;  // of all cycles
  int period_ = 0;
};

}  // namespace pulsewright::models
