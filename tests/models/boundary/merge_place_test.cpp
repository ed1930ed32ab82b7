#include "models/boundary/merge_place.hpp"

#include <doctest/doctest.h>
#include <numbers>
#include <stdexcept>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

TEST_CASE("the crotch is where the walls of neighbouring tubes first meet") {
  constexpr double degree = std::numbers::pi / 180;
  // Two tubes: their walls meet in the plane between them, (D / 2) / sin(a) from the meeting point
  // of the axes.
  CHECK(near(crotch_distance(0.042, 12 * degree, std::numbers::pi), 0.021 / std::sin(12 * degree),
             1e-12));
  // Four tubes of 42 mm at 10 degrees, own geometry of the three-dimensional reference: 169.8 mm,
  // read off its grid of signed distances.
  CHECK(near(crotch_distance(0.042, 10 * degree, 0.5 * std::numbers::pi), 0.1698, 1e-3));
  CHECK(crotch_distance(0.042, 10 * degree, 0.5 * std::numbers::pi) >
        crotch_distance(0.042, 10 * degree, std::numbers::pi));
  CHECK_THROWS_AS(crotch_distance(0.042, 0, 1), std::invalid_argument);
  CHECK_THROWS_AS(crotch_distance(0, 0.2, 1), std::invalid_argument);
  CHECK_THROWS_AS(crotch_distance(0.042, 1.6, 1), std::invalid_argument);
}

TEST_CASE("the merge lies behind the crotch by a part of the tubes' diameter") {
  // Reference: 0.55 to 0.75 diameters for one pressure at all ports.
  for (const auto law : {JunctionLaw::constant_pressure, JunctionLaw::plenum}) {
    CHECK(merge_behind_crotch(0.042, law) > 0.55 * 0.042);
    CHECK(merge_behind_crotch(0.042, law) < 0.75 * 0.042);
  }
  CHECK(merge_behind_crotch(0.042, JunctionLaw::momentum) <
        merge_behind_crotch(0.042, JunctionLaw::plenum));
  CHECK(near(merge_behind_crotch(0.05, JunctionLaw::momentum) / 0.05,
             merge_behind_crotch(0.03, JunctionLaw::momentum) / 0.03, 1e-12));
}

}  // namespace pulsewright::tests
