// Tubes through points, against examples that were worked by hand and the formulas of simple
// curves.
#include "tools/cutting/bent_tube.hpp"

#include <Eigen/Geometry>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <vector>

#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::tools;
using pulsewright::tests::inch;
using pulsewright::tests::near;
using std::numbers::pi;

namespace {

std::vector<Point> inches(std::vector<Point> points) {
  for (Point& point : points) point *= inch;
  return points;
}

// The fault of a path, which must have one.
PathError fault_of(const std::vector<Point>& points, double radius) {
  try {
    bent_tube(points, radius);
  } catch (const PathError& error) {
    return error;
  }
  FAIL("the path was bent");
  throw;
}

}  // namespace

TEST_CASE("two right-angled bends in two planes, by hand") {
  // Ten inches along x, ten along y, ten along z, bends of 3 in: each tangent is 3 in long and each
  // arc 3 pi/2 = 4.712 in, so the straights are 7, 4 and 7 in and the tube 18 + 3 pi = 27.425 in.
  // The second bend lies in the plane of y and z: seen along y, with the gas, it is turned from
  // that of x and y by 90 deg clockwise (a right-handed screw along y takes z to x).
  const BentTube tube =
      bent_tube(inches({{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {10, 10, 10}}), 3 * inch);
  REQUIRE(tube.bends.size() == 2);
  REQUIRE(tube.straights.size() == 3);
  CHECK(near(tube.straights[0], 7 * inch, 1e-12, 0));
  CHECK(near(tube.straights[1], 4 * inch, 1e-12, 0));
  CHECK(near(tube.straights[2], 7 * inch, 1e-12, 0));
  for (const TubeBend& bend : tube.bends) {
    CHECK(near(bend.angle_deg, 90, 1e-12, 0));
    CHECK(near(bend.arc, 4.712389 * inch, 1e-6, 0));
  }
  CHECK(tube.bends[0].rotation_deg == 0);
  CHECK(near(tube.bends[1].rotation_deg, 90, 1e-12, 0));
  CHECK(near(tube.length(), 27.424778 * inch, 1e-7, 0));
}

TEST_CASE("a bend of 60 deg has the tangent and arc of a simple curve") {
  // T = R tan(theta/2), L = R theta (Hickerson (1967), chapter 2): R 4 in, theta 60 deg: T 2.3094
  // in, L 4.1888 in; legs of 12 in leave 9.6906 in on either side.
  const double c = std::cos(pi / 3);
  const double s = std::sin(pi / 3);
  const BentTube tube =
      bent_tube(inches({{0, 0, 0}, {12, 0, 0}, {12 + 12 * c, 12 * s, 0}}), 4 * inch);
  REQUIRE(tube.bends.size() == 1);
  CHECK(near(tube.bends[0].angle_deg, 60, 1e-12, 0));
  CHECK(near(tube.bends[0].arc, 4.18879 * inch, 1e-5, 0));
  CHECK(near(tube.straights[0], 9.6906 * inch, 1e-5, 0));
  CHECK(near(tube.straights[1], 9.6906 * inch, 1e-5, 0));
}

TEST_CASE("rotations: the same plane, an S, and a given dihedral angle") {
  // A U in one plane is not turned, an S by 180 deg.
  const BentTube u = bent_tube(inches({{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {0, 10, 0}}), 2 * inch);
  CHECK(near(u.bends[1].rotation_deg, 0, 0, 1e-9));
  const BentTube s = bent_tube(inches({{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {20, 10, 0}}), 2 * inch);
  CHECK(near(std::abs(s.bends[1].rotation_deg), 180, 1e-12, 0));
  // Planes through the y axis, 10 in of it, at a chosen angle to each other.
  for (const double angle : {-150.0, -90.0, -30.0, 30.0, 45.0, 120.0}) {
    CAPTURE(angle);
    // From -x the tube turns into y, and out of it in the direction that x, turned about y, has.
    const Point way(-std::cos(angle * pi / 180), 0, std::sin(angle * pi / 180));
    const BentTube tube = bent_tube(
        inches({Point(-10, 0, 0), Point(0, 0, 0), Point(0, 10, 0), Point(0, 10, 0) + 10 * way}),
        2 * inch);
    CHECK(near(tube.bends[1].rotation_deg, angle, 1e-9, 1e-9));
  }
}

TEST_CASE(
    "moved, turned and scaled paths give the same tube, and a mirrored one turns the other way") {
  const std::vector<Point> points =
      inches({{0, 0, 0}, {9, 1, 0}, {12, 10, 4}, {6, 15, 12}, {7, 25, 13}});
  const BentTube tube = bent_tube(points, 2.5 * inch);
  const Eigen::Matrix3d turn =
      (Eigen::AngleAxisd(0.7, Point(1, 2, 3).normalized())).toRotationMatrix();
  std::vector<Point> moved, mirrored, back;
  for (const Point& point : points) {
    moved.push_back(turn * point + Point(0.3, -2, 5));
    mirrored.push_back(Point(point.x(), point.y(), -point.z()));
    back.insert(back.begin(), point);
  }
  const BentTube same = bent_tube(moved, 2.5 * inch);
  const BentTube other = bent_tube(mirrored, 2.5 * inch);
  const BentTube reversed = bent_tube(back, 2.5 * inch);
  for (std::size_t i = 0; i < tube.bends.size(); ++i) {
    CHECK(near(same.bends[i].angle_deg, tube.bends[i].angle_deg, 1e-9, 0));
    CHECK(near(same.bends[i].rotation_deg, tube.bends[i].rotation_deg, 1e-9, 1e-9));
    CHECK(near(other.bends[i].rotation_deg, -tube.bends[i].rotation_deg, 1e-9, 1e-9));
  }
  CHECK(near(reversed.length(), tube.length(), 1e-12, 0));
  // The plane of two bends is turned the same way whichever end one looks from.
  CHECK(near(reversed.bends[1].rotation_deg, tube.bends[2].rotation_deg, 1e-9, 1e-9));
}

TEST_CASE("points on a straight are no corners") {
  const BentTube tube =
      bent_tube(inches({{0, 0, 0}, {4, 0, 0}, {10, 0, 0}, {10, 4, 0}, {10, 10, 0}}), 3 * inch);
  REQUIRE(tube.bends.size() == 1);
  CHECK(near(tube.straights[0], 7 * inch, 1e-12, 0));
  CHECK(near(tube.straights[1], 7 * inch, 1e-12, 0));
  const BentTube straight = bent_tube(inches({{0, 0, 0}, {10, 0, 0}}), 3 * inch);
  CHECK(straight.bends.empty());
  CHECK(near(straight.length(), 10 * inch, 1e-12, 0));
}

TEST_CASE("what cannot be bent names its point and what is missing") {
  // Right angles 5 in apart with bends of 3 in: 6 in of tangents in 5 in.
  const PathError room =
      fault_of(inches({{0, 0, 0}, {10, 0, 0}, {10, 5, 0}, {20, 5, 0}}), 3 * inch);
  CHECK(room.fault == PathFault::no_room);
  CHECK(room.point == 2);
  CHECK(near(room.missing, 1 * inch, 1e-9, 0));
  CHECK(fault_of(inches({{0, 0, 0}}), inch).fault == PathFault::too_few_points);
  const PathError equal = fault_of(inches({{0, 0, 0}, {10, 0, 0}, {10, 0, 0}}), inch);
  CHECK(equal.fault == PathFault::equal_points);
  CHECK(equal.point == 2);
  const PathError back = fault_of(inches({{0, 0, 0}, {10, 0, 0}, {1, 0, 0}}), inch);
  CHECK(back.fault == PathFault::turns_back);
  CHECK(back.point == 2);
}

TEST_CASE("bends may touch, and of several radii the largest that fits is taken") {
  const std::vector<Point> points = inches({{0, 0, 0}, {10, 0, 0}, {10, 6, 0}, {20, 6, 0}});
  const BentTube touching = bent_tube(points, 3 * inch);
  CHECK(near(touching.straights[1], 0, 0, 1e-12));
  const std::vector<double> radii{2 * inch, 2.5 * inch, 3 * inch, 4 * inch};
  CHECK(bent_tube(points, radii).bends[0].radius == 3 * inch);
  const std::vector<double> large{4 * inch, 5 * inch};
  CHECK_THROWS_AS(bent_tube(points, large), PathError);
}
