// Speeds in equal steps.
#include "cases/speed_range.hpp"

#include <doctest/doctest.h>

#include "tests/near.hpp"

using pulsewright::cases::SpeedRange;
using pulsewright::tests::near;

TEST_CASE("a range of speeds has both ends where the steps reach the last") {
  const SpeedRange even{3000 / 60.0, 5000 / 60.0, 250 / 60.0};
  REQUIRE(even.rises());
  CHECK(even.count() == 9);
  const auto speeds = even.speeds();
  REQUIRE(speeds.size() == 9);
  CHECK(speeds.front() == 50);
  CHECK(near(speeds[1] * 60, 3250, 1e-12, 0));
  CHECK(near(speeds.back() * 60, 5000, 1e-12, 0));
  const auto uneven = SpeedRange{50, 51, 0.4}.speeds();
  REQUIRE(uneven.size() == 3);
  CHECK(near(uneven.back(), 50.8, 1e-12, 0));
}

TEST_CASE("a speed is the same in other units") {
  CHECK(pulsewright::cases::same_speed(5500 / 60.0, 5000 / 60.0 + 500 / 60.0));
  CHECK(!pulsewright::cases::same_speed(5500 / 60.0, 5500.001 / 60.0));
}

TEST_CASE("a range of one speed, and one that falls") {
  CHECK(SpeedRange{50, 50, 1}.speeds().size() == 1);
  CHECK(!SpeedRange{50, 49, 1}.rises());
}

TEST_CASE("a range does not lose its last speed to round-off, whatever the step") {
  for (int step = 1; step <= 1000; ++step) {
    for (const int steps : {1, 7, 333, 999}) {
      CAPTURE(step);
      CHECK(SpeedRange{3000 / 60.0, (3000 + steps * step) / 60.0, step / 60.0}.count() ==
            steps + 1);
    }
  }
}
