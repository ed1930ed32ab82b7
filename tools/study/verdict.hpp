// What may be said of the difference between two headers: its interval and its verdict.
//
// The value is that of the production grid. The interval about it is
//   low  = value + merge_low  + min(0, gas) - w
//   high = value + merge_high + max(0, gas) + w
//   w    = sqrt(grid^2 + cycle^2 + build^2 + speeds^2)
// so it holds whatever the bands of the merges' constants and the temperature of the gas make of
// the difference, widened by what the numbers and the build leave open. The other way round the
// difference has the same interval with the signs changed.
#pragma once

#include <string_view>

namespace pulsewright::tools {

// In the unit of the figure.
struct IntervalParts {
  double merge_low = 0, merge_high = 0;  // furthest changes, down and up, at the ends of the bands
  double gas = 0;                        // change with cooler exhaust gas
  double grid = 0;                       // plus or minus, as all below
  double cycle = 0;
  double build = 0;
  double speeds = 0;  // of a mean over the band: what happens between the speeds
};

struct Difference {
  double value = 0;  // SI
  IntervalParts parts;
  bool complete = false;  // every run that the interval is made of is there

  double low() const;
  double high() const;
  Difference reversed() const;
};

enum class Verdict {
  ahead,
  probably_ahead,
  too_close,
  probably_behind,
  behind,
  none  // the interval is not complete
};

// What a dynamometer repeats, as a fraction of the torque (common practice, no source). Smaller
// differences are worth nobody's work.
inline constexpr double dynamometer_repeatability = 0.005;

// The share of the interval that makes "probably".
inline constexpr double probable_share = 0.75;

// Ahead where the whole interval lies above `floor` (> 0, in the unit of the difference), probably
// ahead where at least `probable_share` of it does; behind in the same way below -floor.
Verdict verdict_of(const Difference& difference, double floor);

Verdict reversed(Verdict verdict);

// "ahead", "probably ahead", "too close to call", ..., "no verdict".
std::string_view verdict_name(Verdict verdict);

}  // namespace pulsewright::tools
