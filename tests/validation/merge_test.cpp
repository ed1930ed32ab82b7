// The reference of merges: tables and traces fit together, and the comparison of traces.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <set>

#include "models/boundary/merge_place.hpp"
#include "tests/near.hpp"
#include "validation/merge/merge_pulse.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::tests {

using namespace validation;

TEST_CASE("every case of the merge reference has a geometry, blocks in its pipes and a trace") {
  std::set<std::string> geometries;
  REQUIRE(!merge_cases().empty());
  for (const MergeCase& one : merge_cases()) {
    CAPTURE(one.geometry);
    CAPTURE(one.name);
    const MergeGeometry& geometry = merge_geometry(one.geometry);
    geometries.insert(geometry.name);
    CHECK(geometry.z_crotch < 0);
    CHECK(merge_plane(geometry, models::JunctionLaw::momentum) > geometry.z_crotch);
    if (!geometry.cone) {
      // The table and the formula of the program place the crotch alike.
      const double gap = 2 * std::numbers::pi / static_cast<double>(geometry.tubes.size());
      const double crotch = models::crotch_distance(
          geometry.tube_diameter, geometry.half_angle_deg * std::numbers::pi / 180, gap);
      CHECK(near(crotch, -geometry.z_crotch, 0, 2e-5));
    }
    const MergeReference reference = merge_reference(one);
    CHECK(reference.grid > 0);
    CHECK(reference.grid < 3e-3);
    REQUIRE(reference.traces.t.size() > 100);
    CHECK(reference.traces.t.front() == 0);
    for (const MergeTrace& trace : reference.traces.stations) {
      CHECK(trace.p.size() == reference.traces.t.size());
      CHECK(trace.mass_flow.size() == reference.traces.t.size());
    }
    CHECK(!one.blocks.empty());
    for (const MergeBlock& block : one.blocks) {
      const bool known = block.pipe == "collector" ||
                         std::any_of(geometry.tubes.begin(), geometry.tubes.end(),
                                     [&](const auto& tube) { return tube.station == block.pipe; });
      CHECK(known);
    }
  }
  // Each geometry makes a case of the report, and a case without figures fails.
  CHECK(geometries.size() == merge_geometries().size());
  CHECK_THROWS_AS(merge_geometry("no such geometry"), std::invalid_argument);
}

TEST_CASE("the wave that a block sends is that of the traces before it meets the merge") {
  // Half of 1.8 and 1.3 bar as amplitudes: 34.9 and 14.1 kPa of the three-dimensional computation.
  for (const char* name : {"p18", "p13"}) {
    const MergeCase& one = merge_case_named("A", name);
    const MergeTraces traces = merge_reference(one).traces;
    constexpr std::size_t at = 30;  // 0.6 ms
    CHECK(near(driving_wave(one), traces.stations.front().p[at] - 1e5, 3e-3));
  }
}

TEST_CASE("a trace compared with itself has no error, and a known change has the known one") {
  const MergeCase& one = merge_case_named("A", "p18");
  const MergeTraces reference = merge_reference(one).traces;
  for (const StationComparison& s : compare_stations(one, reference, reference)) {
    CAPTURE(s.station);
    CHECK(s.rms == 0);
    CHECK(s.computed.impulse == s.reference.impulse);
    CHECK(s.computed.arrival == s.reference.arrival);
    CHECK(s.reference.rise > 0);
  }
  MergeTraces other = reference;
  for (MergeTrace& trace : other.stations) {
    for (double& p : trace.p) p = 1e5 + 1.1 * (p - 1e5);
  }
  for (const StationComparison& s : compare_stations(one, reference, other)) {
    if (s.station == "drive") continue;  // split into waves
    CAPTURE(s.station);
    CHECK(near(s.computed.peak, 1.1 * s.reference.peak, 1e-9));
    CHECK(near(s.computed.impulse, 1.1 * s.reference.impulse, 1e-9));
    CHECK(near(s.computed.arrival, s.reference.arrival, 1e-9));
    CHECK(s.rms > 0);
  }
}

TEST_CASE("pipes of a merge have the volume of the three-dimensional domain at their datum") {
  // 6.9542e-3 and 3.6329e-3 m3: of the domain, integrated over its cells.
  struct Domain {
    const char* geometry;
    double volume;
  };
  for (const Domain& domain : {Domain{"A", 6.9542e-3}, Domain{"B", 3.6329e-3}}) {
    const MergeGeometry& geometry = merge_geometry(domain.geometry);
    MergeModel model;
    model.plane = geometry.z_m;
    double sum = 0;
    for (const auto& pipe : merge_network(geometry, model).pipes) {
      const double D = pipe.profile.front().diameter;
      sum += 0.25 * std::numbers::pi * D * D * pipe.length;
    }
    CHECK(near(sum, domain.volume, 1e-4));
    // Moved back, the outer ends stay where they are.
    model.plane = geometry.z_m + 0.01;
    const auto moved = merge_network(geometry, model);
    const double slope = std::cos(geometry.half_angle_deg * std::numbers::pi / 180);
    CHECK(near(moved.pipes.front().length, geometry.tube_length + 0.01 / slope, 1e-12));
    CHECK(near(moved.pipes.back().length, geometry.collector_length - 0.01, 1e-12));
  }
}

namespace {

// Pressures at the middle of all pipes of the four-tube merge over 1.5 ms; two tubes start at
// higher pressure. clocks: places of the tubes round the axis, deg.
std::vector<double> two_pulses(const std::vector<double>& clocks) {
  MergeGeometry geometry = merge_geometry("A");
  for (std::size_t i = 0; i < clocks.size(); ++i) geometry.tubes[i].clock_deg = clocks[i];
  MergeModel model;
  model.cell_size = 0.01;
  models::EngineSpecification e = merge_network(geometry, model);
  e.pipes[0].initial_pressure = 1.8e5;
  e.pipes[1].initial_pressure = 1.5e5;
  PipeRig rig(e, constant_gamma_gas(1.35, 287));
  std::vector<double> pressures;
  for (int k = 1; k <= 15; ++k) {
    rig.run_until(1e-4 * k);
    for (const auto& pipe : rig.network().pipes()) {
      pressures.push_back(pipe.p[static_cast<std::ptrdiff_t>(pipe.cells() / 2)]);
    }
  }
  return pressures;
}

}  // namespace

TEST_CASE("a merge turned round its axis, or mirrored, gives the same to round-off") {
  const auto base = two_pulses({0, 90, 270, 180});
  const auto turned = two_pulses({37, 127, 307, 217});
  const auto mirrored = two_pulses({0, 270, 90, 180});
  REQUIRE(base.size() == turned.size());
  for (std::size_t i = 0; i < base.size(); ++i) {
    CHECK(near(turned[i], base[i], 1e-9));
    CHECK(near(mirrored[i], base[i], 1e-9));
  }
  // Another order of the tubes is another merge: the second pulse from across, not from beside.
  const auto across = two_pulses({0, 180, 90, 270});
  double largest = 0;
  for (std::size_t i = 0; i < base.size(); ++i) {
    largest = std::max(largest, std::abs(across[i] - base[i]));
  }
  CHECK(largest > 300);  // Pa; the tubes across and beside differ by a third in the reference
  // The pulses have arrived everywhere.
  CHECK(std::abs(base[base.size() - 1] - 1e5) > 1e3);
  CHECK(std::abs(base[base.size() - 2] - 1e5) > 1e3);
}

}  // namespace pulsewright::tests
