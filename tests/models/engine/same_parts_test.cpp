// Engines whose parts are computed once: the figures of the whole, against each part by itself.
#include <cmath>
#include <doctest/doctest.h>

#include "models/engine/point_simulation.hpp"
#include "models/figures/absorbed_pulse.hpp"
#include "models/figures/figure_table.hpp"
#include "models/figures/whole_engine.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

RunSettings settings(SameParts same_parts, double tolerance) {
  RunSettings s;
  s.same_parts = same_parts;
  s.tolerance = tolerance;
  s.most_cycles = 200;
  s.second_pattern = false;
  return s;
}

double largest(const std::vector<float>& trace) {
  double most = 0;
  for (const float x : trace) most = std::max(most, std::abs(static_cast<double>(x)));
  return most;
}

// How many values of a trace differ by more than a part of its largest.
std::size_t others(const std::vector<float>& a, const std::vector<float>& b, double relative) {
  if (a.size() != b.size()) return a.size() + b.size();
  std::size_t count = 0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (!(std::abs(a[k] - b[k]) <= relative * largest(b))) ++count;
  }
  return count;
}
bool same_trace(const std::vector<float>& a, const std::vector<float>& b) {
  return others(a, b, 1e-5) == 0;
}

EngineSpecification v8_with_probe() {
  auto e = cross_plane_v8(banks, 0.8, 0.1);
  e.probes = {{"collector 2", e.exhaust_paths[7].pipes[1], 0.2}};
  return e;
}

}  // namespace

TEST_CASE("the banks of a V8: computed once or each, the same figures within round-off") {
  // At a tolerance where what is left of the start is of the order of what the roots of the
  // boundaries leave.
  const auto e = v8_with_probe();
  auto with_wave = settings(SameParts::once, 1e-9);
  with_wave.store_wave_diagram = true;
  with_wave.wave_cylinder = 6;  // in the bank that is else a copy
  auto each_settings = with_wave;
  each_settings.same_parts = SameParts::each;
  PointSimulation one(e, 100, with_wave);
  CHECK(one.network().cylinders().size() == 4);
  const auto once = one.run();
  PointSimulation all(e, 100, each_settings);
  CHECK(all.network().cylinders().size() == 8);
  const auto each = all.run();
  REQUIRE(once.converged);
  REQUIRE(each.converged);
  constexpr double close = 1e-7;
  CHECK(near(once.torque, each.torque, close));
  CHECK(near(once.power, each.power, close));
  CHECK(near(once.fuel_flow, each.fuel_flow, close));
  CHECK(near(once.bmep, each.bmep, close));
  CHECK(near(once.overlap_exhaust_pressure, each.overlap_exhaust_pressure, 0, 1e-2));  // Pa
  CHECK(near(once.ledger.mass.in, each.ledger.mass.in, close));
  CHECK(near(once.ledger.energy.out, each.ledger.energy.out, close));
  CHECK(std::abs(once.ledger.energy.imbalance) < 1e-10);
  CHECK(once.cells == each.cells);
  CHECK(near(once.cell_size, each.cell_size, 1e-12));
  CHECK(once.exhaust_peak_mach_pipe < static_cast<int>(e.pipes.size()));
  CHECK(near(once.exhaust_peak_mach, each.exhaust_peak_mach, 1e-5));
  REQUIRE(once.cylinders.size() == 8);
  for (std::size_t i = 0; i < 8; ++i) {
    CAPTURE(i);
    CHECK(once.cylinders[i].number == each.cylinders[i].number);
    CHECK(
        near(once.cylinders[i].charging_efficiency, each.cylinders[i].charging_efficiency, close));
    CHECK(near(once.cylinders[i].imep, each.cylinders[i].imep, close));
    CHECK(near(once.cylinders[i].depression_angle, each.cylinders[i].depression_angle, 0, 1e-3));
    // The first step of a record has none before it to interpolate with: a point or two at that
    // place of the cycle, which is another one in a copy.
    const auto& a = once.traces[i].exhaust_pressure;
    const auto& b = each.traces[i].exhaust_pressure;
    CHECK(others(a, b, 1e-5) <= (i < 4 ? 4 : 0));
    CHECK(others(a, b, 1e-2) == 0);
  }
  REQUIRE(once.pipes.size() == each.pipes.size());
  for (std::size_t i = 0; i < once.pipes.size(); ++i) {
    CHECK(once.pipes[i].name == each.pipes[i].name);
    CHECK(near(once.pipes[i].wall_temperature, each.pipes[i].wall_temperature, close));
    CHECK(near(once.pipes[i].peak_mach_angle, each.pipes[i].peak_mach_angle, 0, 1e-3));
  }
  REQUIRE(once.merges.size() == 2);
  for (std::size_t m = 0; m < 2; ++m) {
    CHECK(once.merges[m].name == each.merges[m].name);
    CHECK(once.merges[m].cylinders == each.merges[m].cylinders);
    REQUIRE(once.merges[m].arrival.size() == 4);
    for (std::size_t k = 0; k < 4; ++k) {
      CHECK(near(once.merges[m].arrival[k], each.merges[m].arrival[k], 0, 1e-2));  // deg
    }
    CHECK(near(once.merges[m].evenness, each.merges[m].evenness, 0, 1e-4));
  }
  REQUIRE(once.tails.size() == 2);
  for (std::size_t t = 0; t < 2; ++t) {
    CHECK(once.tails[t].name == each.tails[t].name);
    for_each_tail_trace([&](const auto& trace) {
      const auto& a = once.tails[t].*trace.member;
      const auto& b = each.tails[t].*trace.member;
      // Within half a step of the ends of the cycle it is the flow of one step.
      CHECK(others(a, b, 1e-5) <= 4);
      CHECK(others(a, b, 1e-2) == 0);
    });
  }
  REQUIRE(once.probes.size() == 1);
  CHECK(once.probes[0].name == "collector 2");
  CHECK(same_trace(once.probes[0].pressure, each.probes[0].pressure));
  CHECK(once.wave.cylinder == each.wave.cylinder);
  CHECK(same_trace(once.wave.pressure, each.wave.pressure));
}

TEST_CASE("a run of the whole engine starts from one whose parts were computed once, and back") {
  const auto e = cross_plane_v8(banks, 0.8, 0.1);
  PointSimulation once(e, 100, settings(SameParts::once, 1e-6));
  once.run();
  PointSimulation each(e, 100, settings(SameParts::each, 1e-6));
  each.run();
  // Every pipe and cylinder as it is at the end of a cycle, those of the copy a revolution later
  // than those that were computed. What a run keeps from before its last balance of the walls, and
  // the tolerance, are far below what an error of the angle would make.
  const auto check_state = [](const Network& a, const Network& b) {
    REQUIRE(a.pipes().size() == b.pipes().size());
    for (std::size_t i = 0; i < a.pipes().size(); ++i) {
      CAPTURE(i);
      for (std::size_t k = 0; k < a.pipes()[i].cells(); ++k) {
        CHECK(near(a.pipes()[i].state(k).p, b.pipes()[i].state(k).p, 1e-3));
        CHECK(near(a.pipes()[i].state(k).u, b.pipes()[i].state(k).u, 1e-3, 0.2));
      }
    }
    for (std::size_t i = 0; i < a.cylinders().size(); ++i) {
      CHECK(near(a.cylinders().mass(i), b.cylinders().mass(i), 1e-3));
      CHECK(near(a.cylinders().pressure(i), b.cylinders().pressure(i), 1e-3));
    }
  };
  PointSimulation whole(e, 100, settings(SameParts::each, 1e-3));
  whole.start_from(once);
  check_state(whole.network(), each.network());
  // The bank of cylinder 1, which was computed, and that of cylinder 8, which was not.
  for (const int wave_cylinder : {0, 4}) {
    auto chosen = settings(SameParts::once, 1e-3);
    chosen.wave_cylinder = wave_cylinder;
    PointSimulation from_each(e, 100, chosen);
    from_each.start_from(each);
    PointSimulation from_once(e, 100, chosen);
    from_once.start_from(once);
    check_state(from_once.network(), from_each.network());
  }
  // Without the pulse of a cylinder the banks are no longer the same.
  PointSimulation absorbed(with_pulse_absorbed(e, 0), 100, settings(SameParts::once, 1e-3));
  CHECK_NOTHROW(absorbed.start_from(once));
  CHECK(absorbed.network().cylinders().size() == 8);
}

TEST_CASE("a run without a record has the same figures and no traces") {
  auto plain = settings(SameParts::once, 1e-3);
  auto bare = plain;
  bare.record = false;
  const auto e = single_cylinder(0.7, 0.06);
  PointSimulation with(e, 100, plain);
  PointSimulation without(e, 100, bare);
  const auto a = with.run();
  const auto b = without.run();
  CHECK(a.torque == b.torque);
  CHECK(a.cycles == b.cycles);
  CHECK(a.residual_fraction == b.residual_fraction);
  CHECK(a.ledger.energy.out == b.ledger.energy.out);
  CHECK(b.traces.empty());
  CHECK(b.pipes.empty());
  CHECK(b.steps <= a.steps);
  // The same, whole.
  const auto v8 = PointSimulation(cross_plane_v8(banks, 0.8, 0.1), 100, bare).run();
  CHECK(v8.cylinders.size() == 8);
  CHECK(v8.pipes.empty());
  CHECK(v8.merges.empty());
}

TEST_CASE("a trace is shifted by whole points exactly, by parts of one linearly") {
  const std::vector<float> trace{1, 2, 4, 8};  // at 0, 180, 360, 540 deg
  CHECK(shifted_trace(trace, 180) == std::vector<float>{8, 1, 2, 4});
  CHECK(shifted_trace(trace, 540) == std::vector<float>{2, 4, 8, 1});
  CHECK(shifted_trace(trace, 0) == trace);
  // 90 deg later: half way between the values there and 180 deg before.
  CHECK(shifted_trace(trace, 90) == std::vector<float>{4.5, 1.5, 3, 6});
  // 135 deg: three quarters of a point.
  CHECK(shifted_trace(trace, 135) == std::vector<float>{6.25, 1.25, 2.5, 5});
  CHECK(shifted_trace({}, 90).empty());
}

}  // namespace pulsewright::tests
