// Area and diameter of a circle, the measure of every pipe.
#pragma once

#include <cmath>
#include <numbers>

namespace pulsewright::models {

// m2 of a diameter in m, and back.
inline double circle_area(double diameter) { return 0.25 * std::numbers::pi * diameter * diameter; }
inline double circle_diameter(double area) { return std::sqrt(4 * area / std::numbers::pi); }

}  // namespace pulsewright::models
