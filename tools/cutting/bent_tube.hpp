// A tube through points in space: straights, mandrel bends between them, and how each bend is
// turned against the one before.
//
// The points are the two ends and, between them, the corners: where the axes of two straights meet.
// A bend of centreline radius R that turns by theta begins and ends R tan(theta/2) before and
// behind its corner and is R theta long (the simple curve of route surveying: Hickerson (1967),
// chapter 2). The rotation of a bend is the angle between its plane and that of the bend before,
// about the straight between them: the dihedral angle of the planes, positive clockwise as seen
// along the tube, with the gas. Exact for round bends; springback and stretch of the bender are not
// in it.
#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <span>
#include <stdexcept>
#include <vector>

namespace pulsewright::tools {

using Point = Eigen::Vector3d;  // m

struct TubeBend {
  double angle_deg = 0;     // turned
  double radius = 0;        // m, of the centreline
  double arc = 0;           // m along the centreline
  double rotation_deg = 0;  // -180..180 against the bend before; 0 of the first
};

struct BentTube {
  std::vector<TubeBend> bends;
  std::vector<double> straights;  // m, one more than bends, in turn with them; 0 where bends touch

  double length() const;  // m along the centreline
};

enum class PathFault { too_few_points, equal_points, turns_back, no_room };

// A path that no tube can have. point: 1-based; the straight behind it for equal_points and
// no_room.
class PathError : public std::runtime_error {
 public:
  PathError(PathFault kind, std::size_t at, double missing_length);

  PathFault fault;
  std::size_t point;
  double missing;  // m that the straight is too short by, of no_room
};

// Every bend with this radius, m, > 0. A corner that turns by less than 0.1 deg is none. Throws
// PathError.
BentTube bent_tube(std::span<const Point> points, double radius);

// With the largest of the radii with which it can be bent. radii: rising, at least one. Throws
// PathError of the smallest.
BentTube bent_tube(std::span<const Point> points, std::span<const double> radii);

}  // namespace pulsewright::tools
