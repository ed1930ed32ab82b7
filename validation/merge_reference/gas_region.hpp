// The space that gas fills in a merge: the union of round tubes, and where it is symmetric.
//
// Only the half y >= 0 is computed; the region must be its own mirror image in y = 0. The signed
// distance is exact within one tube and at its side, and a lower bound of the distance in the edges
// between tubes and ends; its sign is exact everywhere.
#pragma once

#include <array>
#include <vector>

namespace pulsewright::validation {

using Vector3 = std::array<double, 3>;

inline double dot(const Vector3& l, const Vector3& r) {
  return l[0] * r[0] + l[1] * r[1] + l[2] * r[2];
}

// A round tube, cylindrical or conical, between flat ends. Its axis goes through the origin; s is
// the distance from there along the axis.
struct RoundTube {
  Vector3 direction{0, 0, 1};             // of growing s, of length 1
  double radius_from = 0, radius_to = 0;  // m, at the two ends
  double from = 0, to = 0;                // m, s of the ends

  double along(const Vector3& x) const { return dot(direction, x); }  // m, s of a point
  // m, negative inside
  double signed_distance(const Vector3& x) const;
};

// m, to the wall of the union, negative inside
double signed_distance(const std::vector<RoundTube>& region, const Vector3& x);

// The corners of a box around the half y >= 0, m.
struct Box {
  Vector3 low, high;
};
Box half_box(const std::vector<RoundTube>& region);

}  // namespace pulsewright::validation
