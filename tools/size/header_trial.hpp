// One simulation of each header of a case over its band: enough to see where its torque peaks and
// which pulls more, too coarse for a verdict.
//
// Eight speeds from a little below the band to a little above it, cells of 30 mm unless told
// otherwise, from rest, traces left out.
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

inline constexpr double trial_cell_size = 0.030;  // m

struct TrialPoint {
  double speed = 0;              // rev/s
  double torque = 0, power = 0;  // N m, W
  std::string fault;             // why it is no result; empty if it is one
};

struct HeaderTrial {
  std::string header;
  std::vector<TrialPoint> points;  // rising speeds

  // By the points that are results; none without any. The peak: the vertex of the parabola through
  // the highest one and its neighbours, the point itself at an end of the speeds.
  std::optional<double> torque_peak() const;  // rev/s
  bool peak_at_end() const;                   // whether that is an end of the speeds
  std::optional<double> highest_power() const;
  // N m, over the band by the trapezoidal rule on the points.
  std::optional<double> band_torque(double from, double to) const;
};

// The speeds, rev/s, whole 50 rpm.
std::vector<double> trial_speeds(double band_from, double band_to);

// done: called after each point, from several threads one at a time. Throws RunStopped when `stop`
// becomes true, std::invalid_argument for a header that cannot be built.
std::vector<HeaderTrial> try_headers(const cases::CaseFile& case_file, double cell_size,
                                     unsigned threads, const std::atomic<bool>& stop,
                                     const std::function<void()>& done);

}  // namespace pulsewright::tools
