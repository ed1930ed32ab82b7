// What `run` says of a point that is no result, which makes its exit code 1.
#include "tools/study/point_text.hpp"

#include <doctest/doctest.h>

using namespace pulsewright;

TEST_CASE("a point that was clipped or does not repeat is no result") {
  models::PointResult point;
  point.converged = true;
  CHECK(tools::point_faults(point, 40).empty());
  point.clipped = 3;
  auto faults = tools::point_faults(point, 40);
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].starts_with("values were clipped 3 times"));
  point.converged = false;
  faults = tools::point_faults(point, 40);
  REQUIRE(faults.size() == 2);
  CHECK(faults[0] == "the point does not repeat within 40 cycles; raise run.most_cycles");
}
