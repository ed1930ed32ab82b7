// What each dimension of a header is worth: torque per half inch of every tube, collector and tail,
// and per stock size, over speed; and the spread of the finished header.
//
// Lengths: central difference over half an inch to either side, (T(x + h) - T(x - h)) / 2 for h =
// 1/2 in. Sizes: the next smaller and the next larger stock size less the size that it has.
//
// A length must be exact where, within the build tolerance t, it moves torque at some speed of the
// band by more than a dynamometer repeats (dynamometer_repeatability): |slope| t / h. Where a point
// of the drawn header or of those beside it does not count in the band, that is not known.
//
// Spread: the standard deviation of torque over finished headers whose tubes are each off by an
// error uniform in +-t. Linear: from the slopes alone, sqrt(sum slope^2) t / (h sqrt(3)), errors of
// the tubes being independent. Sampled: from headers built with seeded errors (search_space.hpp).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "tools/search/search_task.hpp"
#include "tools/search/trial_history.hpp"

namespace pulsewright::tools {

// One dimension.
struct Sensitivity {
  std::size_t variable = 0;  // into the variables of the task
  // By speed, N m; NaN where a point failed or does not count. Of a length `up` is the slope per
  // half inch; of a size what the next larger and the next smaller one change, NaN where there is
  // none.
  std::vector<double> up, down;
  double band_up = 0, band_down = 0;  // N m, the same of the mean over the band
  bool known = true;                  // every change that there is to a neighbour, in the band
  double largest = 0;                 // N m, of all known, without sign, at speeds of the band
  double largest_speed = 0;           // rev/s; 0 where none is known or all are 0
  bool exact = false;                 // of a length: must be exact
};

struct ToleranceSpread {
  std::vector<double> linear, sampled;       // N m by speed; NaN where it is not known
  double band_linear = 0, band_sampled = 0;  // N m, of the mean over the band
  double lowest = 0, highest = 0;  // N m, of the sample's means less the drawn one's; NaN as above
  std::size_t samples = 0;         // finished headers that count
};

struct Tolerance {
  std::vector<Sensitivity> dimensions;    // the largest first
  std::vector<double> torque;             // N m by speed, of the header as drawn
  double band_torque = 0;                 // N m
  std::optional<ToleranceSpread> spread;  // none without a build tolerance or samples

  // Whether the header as drawn and all dimensions are known in the band.
  bool known() const;
};

// Variables: cases::all_variables(). samples: finished headers to compute, an even number. Throws
// as TrialHistory::trials().
Tolerance tolerance_of(const SearchTask& task, int samples, TrialHistory& history);

// sqrt(sum of squares of the slopes) t / (h sqrt(3)), N m, for slopes per h = half an inch and a
// tolerance t in m.
double linear_spread(const std::vector<double>& slopes, double build_tolerance);
// Standard deviation about the given middle, with n in the denominator: the middle is known.
double spread_about(const std::vector<double>& values, double middle);

}  // namespace pulsewright::tools
