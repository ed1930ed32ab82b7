// Words for a point in which cylinders that are the same by symmetry settled differently.
#pragma once

#include <optional>
#include <string>

#include "models/figures/point_result.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// Such a point; the figures are those of the table of figures.
struct UnevenPoint {
  double speed = 0;   // rev/s
  double torque = 0;  // N m
  int same_cylinders = 0, pattern_firings = 0, second_pattern = 0;
  double pattern_spread = 0, second_torque = 0;  // 1, N m
};

// None where no cylinders are the same, or all of them settled alike.
std::optional<UnevenPoint> uneven_point(const models::PointResult& point);

// What was found, in half sentences without header and speed.
std::string pattern_words(const UnevenPoint& point, UnitSystem system);

}  // namespace pulsewright::tools
