// Whether cylinders that are the same by symmetry (network/symmetry.hpp) settled alike.
//
// In: the symmetry and the figures of the cylinders, means over the period. Out: after how many
// firings of such cylinders the pattern repeats, and how far apart they are. They count as alike
// where charging efficiency and indicated mean effective pressure agree within 0.5 %, five times
// what a cycle repeats to: cycles that still change by that much from one to the next cannot differ
// more.
#pragma once

#include <vector>

#include "models/figures/point_result.hpp"
#include "models/network/symmetry.hpp"

namespace pulsewright::models {

struct CylinderPattern {
  int firings = 1;    // 1: all alike; a divisor of EngineSymmetry::order()
  double spread = 0;  // largest difference of charging efficiency between cylinders of one set
};

// PointResult::second_pattern: what a start with all such cylinders alike led to.
enum class SecondPattern {
  not_tried,
  both_last,      // they stay alike, and so does the pattern that was found first
  parts_again,    // they part again
  never_repeats,  // nothing that repeats
  first_fades     // they stay alike, and the pattern that was found first fades away
};

// In the order of the engine's cylinders.
CylinderPattern pattern_of(const EngineSymmetry& symmetry,
                           const std::vector<CylinderFigures>& cylinders);

}  // namespace pulsewright::models
