#include "tools/cutting/bent_tube.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>

namespace pulsewright::tools {

namespace {

constexpr double degrees = 180 / std::numbers::pi;
constexpr double least_angle = 0.1;     // deg; less is a straight
constexpr double greatest_angle = 179;  // deg; more turns back on itself
constexpr double same_place = 1e-6;     // m
constexpr double rounding = 1e-9;       // m; bends may touch

// A straight axis, and the point behind which it begins.
struct Leg {
  Point direction;
  double length;
  std::size_t point;  // 1-based
};

double angle_between(const Leg& before, const Leg& after) {
  return degrees * std::atan2(before.direction.cross(after.direction).norm(),
                              before.direction.dot(after.direction));
}

// The legs, straight corners left out.
std::vector<Leg> legs_of(std::span<const Point> points) {
  if (points.size() < 2) throw PathError(PathFault::too_few_points, points.size(), 0);
  std::vector<Leg> legs;
  Point begin = points[0];
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const Point way = points[i + 1] - points[i];
    if (!(way.norm() > same_place)) throw PathError(PathFault::equal_points, i + 1, 0);
    Leg leg{way.normalized(), way.norm(), i + 1};
    if (legs.empty() || angle_between(legs.back(), leg) >= least_angle) {
      if (!legs.empty() && angle_between(legs.back(), leg) > greatest_angle) {
        throw PathError(PathFault::turns_back, i + 1, 0);
      }
      begin = points[i];
      legs.push_back(leg);
    } else {
      const Point whole = points[i + 1] - begin;
      legs.back().direction = whole.normalized();
      legs.back().length = whole.norm();
    }
  }
  return legs;
}

// Of the bend between legs b and c, whose plane is turned against that of a and b.
double rotation(const Leg& a, const Leg& b, const Leg& c) {
  const Point before = a.direction.cross(b.direction);
  const Point here = b.direction.cross(c.direction);
  return degrees * std::atan2(before.cross(here).dot(b.direction), before.dot(here));
}

}  // namespace

PathError::PathError(PathFault kind, std::size_t at, double missing_length)
    : std::runtime_error("no tube can have this path"),
      fault(kind),
      point(at),
      missing(missing_length) {}

double BentTube::length() const {
  return std::accumulate(bends.begin(), bends.end(),
                         std::accumulate(straights.begin(), straights.end(), 0.0),
                         [](double sum, const TubeBend& bend) { return sum + bend.arc; });
}

BentTube bent_tube(std::span<const Point> points, double radius) {
  const std::vector<Leg> legs = legs_of(points);
  BentTube tube;
  double tangent_before = 0;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    double tangent_behind = 0;
    if (i + 1 < legs.size()) {
      TubeBend bend;
      bend.angle_deg = angle_between(legs[i], legs[i + 1]);
      bend.radius = radius;
      bend.arc = radius * bend.angle_deg / degrees;
      if (i > 0) bend.rotation_deg = rotation(legs[i - 1], legs[i], legs[i + 1]);
      tangent_behind = radius * std::tan(bend.angle_deg / degrees / 2);
      tube.bends.push_back(bend);
    }
    const double straight = legs[i].length - tangent_before - tangent_behind;
    if (straight < -rounding) throw PathError(PathFault::no_room, legs[i].point, -straight);
    tube.straights.push_back(std::max(0.0, straight));
    tangent_before = tangent_behind;
  }
  return tube;
}

BentTube bent_tube(std::span<const Point> points, std::span<const double> radii) {
  std::optional<PathError> refused;
  for (std::size_t i = radii.size(); i > 0; --i) {
    try {
      return bent_tube(points, radii[i - 1]);
    } catch (const PathError& error) {
      if (error.fault != PathFault::no_room) throw;
      refused = error;
    }
  }
  throw PathError(refused.value());
}

}  // namespace pulsewright::tools
