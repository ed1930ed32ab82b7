// Probes and the order of the tubes from the case file to the network.
#include "cases/header_probes.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

using Numbers = std::vector<int>;

CaseFile sample_in_order(const std::string& lines) {
  return read_case_text(
      replaced(sample_text(), "kind = \"equal-length\"", "kind = \"equal-length\"\n" + lines),
      "sample.toml");
}

// Direction of a cylinder's primary at its merge.
Eigen::Vector3d direction_of(const models::EngineSpecification& engine, int cylinder) {
  const auto found = std::find_if(engine.cylinders.begin(), engine.cylinders.end(),
                                  [&](const auto& c) { return c.number == cylinder; });
  for (const auto& junction : engine.junctions) {
    for (const auto& branch : junction.branches) {
      if (branch.end.pipe == found->exhaust.pipe) return branch.direction;
    }
  }
  return Eigen::Vector3d::Zero();
}

// deg round the axis from the tube of one cylinder to that of another.
double clock_between(const models::EngineSpecification& engine, int from, int to) {
  const auto clock = [&](int cylinder) {
    const Eigen::Vector3d d = direction_of(engine, cylinder);
    return std::atan2(d.z(), d.y()) * 180 / std::numbers::pi;
  };
  const double turn = std::fmod(clock(to) - clock(from) + 720, 360);
  return turn > 359.999 ? 0 : turn;
}

}  // namespace

TEST_CASE("a probe is read, has a name and becomes a place in the network") {
  const CaseFile file = read_case_text(
      replaced(
          sample_text(), "[run]",
          "[[header.probe]]\npipe = \"primary 3\"\ndistance = \"12 in\"\n"
          "[[header.probe]]\npipe = \"collector right\"\ndistance = \"0.1 m\"\nname = \"behind "
          "the merge\"\n[run]"),
      "sample.toml");
  CHECK(build_engine(file, file.headers[0]).probes.empty());
  const auto engine = build_engine(file, file.headers[1]);
  REQUIRE(engine.probes.size() == 2);
  CHECK(engine.probes[0].name == "primary 3 at 304.8 mm");
  CHECK(near(engine.probes[0].distance, 0.3048, 1e-12));
  CHECK(engine.pipes[static_cast<std::size_t>(engine.probes[0].pipe)].name == "primary 3");
  CHECK(engine.probes[1].name == "behind the merge");
  CHECK(engine.pipes[static_cast<std::size_t>(engine.probes[1].pipe)].name == "collector right");
}

TEST_CASE("without an order of its own, firing goes round the collector") {
  const CaseFile file = sample_in_order("");
  const auto engine = build_engine(file, file.headers[0]);
  for (const CollectorGroup& group : file.headers[0].groups) {
    for (std::size_t i = 0; i < 4; ++i) {
      CHECK(
          near(clock_between(engine, group.cylinders[i], group.cylinders[(i + 1) % 4]), 90, 1e-9));
    }
  }
}

TEST_CASE("the order of the tubes round the collector is that of the list, wherever it begins") {
  // The left bank fires 1-3-5-7: 5 stands beside 1 here, 3 across from it.
  const CaseFile file = sample_in_order("collector_order = [[1, 5, 3, 7], [4, 8, 2, 6]]");
  const auto engine = build_engine(file, file.headers[0]);
  CHECK(near(clock_between(engine, 1, 5), 90, 1e-9));
  CHECK(near(clock_between(engine, 1, 3), 180, 1e-9));
  CHECK(near(clock_between(engine, 1, 7), 270, 1e-9));
  CHECK(near(clock_between(engine, 4, 8), 90, 1e-9));
  const CaseFile turned = sample_in_order("collector_order = [[2, 6, 4, 8], [3, 7, 1, 5]]");
  for (std::size_t g = 0; g < 2; ++g) {
    CHECK(turned.headers[0].groups[g].collector_position ==
          file.headers[0].groups[g].collector_position);
  }
  const CaseFile mirrored = sample_in_order("collector_order = [[1, 7, 3, 5], [4, 6, 2, 8]]");
  const auto other = build_engine(mirrored, mirrored.headers[0]);
  for (const int cylinder : file.engine.firing_order) {
    const int first = file.headers[0].groups[cylinder % 2 == 1 ? 0 : 1].cylinders.front();
    const double turn = clock_between(engine, first, cylinder);
    CHECK(near(clock_between(other, first, cylinder), std::fmod(360 - turn, 360), 1e-9, 1e-9));
  }
  // The other header keeps its own.
  CHECK(file.headers[1].groups[0].collector_position == Numbers{1, 2, 3, 4});
}
