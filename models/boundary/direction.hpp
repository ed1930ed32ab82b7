// Directions and velocities in space at a junction, as three numbers.
#pragma once

#include <array>
#include <cmath>

namespace pulsewright::models {

using Vector = std::array<double, 3>;

inline double dot(const Vector& a, const Vector& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
inline double length(const Vector& a) { return std::sqrt(dot(a, a)); }

}  // namespace pulsewright::models
