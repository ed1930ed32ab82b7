// What `run` says of a point that is no result, which makes its exit code 1.
#include "tools/study/point_text.hpp"

#include <doctest/doctest.h>

#include "tools/study/supersonic.hpp"

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
  point.cycles = 40;
  faults = tools::point_faults(point, 40);
  REQUIRE(faults.size() == 2);
  CHECK(faults[0] == "the point does not repeat within 40 cycles; raise run.most_cycles");
  faults = tools::point_faults(point, 100);
  REQUIRE(faults.size() == 2);
  CHECK(faults[0].starts_with("the point does not repeat: after 40 cycles the changes"));
}

TEST_CASE("gas faster than sound in a converged point is named with its place") {
  models::PointResult point;
  point.converged = true;
  point.exhaust_peak_mach = 1.01;  // what the scatter of a choked valve makes
  CHECK_FALSE(tools::supersonic_point(point).has_value());
  point.exhaust_peak_mach = 1.5;
  point.exhaust_peak_mach_pipe = 1;
  point.pipes.resize(2);
  point.pipes[1].name = "collector all";
  point.pipes[1].peak_mach_distance = 0.0508;
  const auto found = tools::supersonic_point(point);
  REQUIRE(found.has_value());
  CHECK(found->pipe == "collector all");
  CHECK(tools::supersonic_words(*found, tools::UnitSystem::inch)
            .find("up to Mach 1.50 in collector all, 2 in from its start") != std::string::npos);
  CHECK(tools::point_text("a", point, tools::UnitSystem::metric).find("faster than sound") !=
        std::string::npos);
  point.converged = false;
  CHECK(tools::point_text("a", point, tools::UnitSystem::metric).find("faster than sound") ==
        std::string::npos);
}
