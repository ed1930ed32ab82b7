// Crank angles: degrees of an engine cycle of two revolutions, 720 deg, that repeats.
//
// Every angle that is counted on, or around a point of the cycle, is brought back into one cycle
// here and nowhere else. All functions are exact to the rounding of one subtraction.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace pulsewright::models {

inline constexpr double cycle_angle = 720.0;  // deg

// The same place of the cycle within [start, start + 720), deg.
inline double fold_from(double angle, double start) {
  const double folded = angle - cycle_angle * std::floor((angle - start) / cycle_angle);
  // Within the last bits of an end of the range rounding may leave it.
  return folded < start + cycle_angle ? std::max(folded, start) : start;
}

// Within [0, 720), deg.
inline double fold(double angle) { return fold_from(angle, 0.0); }

// Within [-360, 360), deg: continuous around firing top dead centre. For a number or a pack.
template <class Real>
inline Real fold_around_firing(const Real& angle) {
  using std::floor;
  return angle - cycle_angle * floor((angle + 0.5 * cycle_angle) / cycle_angle);
}

// Part, in deg, of the step [angle, angle + turned] that lies in the window [from, to] of any
// cycle. angle: 0 .. 720; turned: short against a cycle; from: 0 .. 720; to: up to from + 720.
inline double within_window(double angle, double turned, double from, double to) {
  double sum = 0;
  for (const double shift : {-cycle_angle, 0.0, cycle_angle}) {
    const double low = std::max(angle, from + shift);
    const double high = std::min(angle + turned, to + shift);
    sum += std::max(0.0, high - low);
  }
  return sum;
}

// Whether the step (angle, angle + turned] passes the event, in any cycle. Ranges as above.
inline bool passes(double angle, double turned, double event) {
  for (const double shift : {-cycle_angle, 0.0, cycle_angle}) {
    if (angle < event + shift && angle + turned >= event + shift) return true;
  }
  return false;
}

// deg, `count` crank angles 0, 720/count, ... of one cycle: where traces and diagrams have values.
inline std::vector<double> even_angles(std::size_t count) {
  std::vector<double> angles(count);
  for (std::size_t i = 0; i < count; ++i) {
    angles[i] = cycle_angle * static_cast<double>(i) / static_cast<double>(count);
  }
  return angles;
}

}  // namespace pulsewright::models
