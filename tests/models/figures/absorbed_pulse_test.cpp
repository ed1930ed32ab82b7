// The engine without the pulse of one cylinder at its merge: what is changed, and that it acts on
// no one whom the pulse cannot reach.
#include "models/figures/absorbed_pulse.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "models/engine/point_simulation.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

std::size_t index_of(const EngineSpecification& e, int number) {
  for (std::size_t i = 0; i < e.cylinders.size(); ++i) {
    if (e.cylinders[i].number == number) return i;
  }
  throw std::out_of_range("no such cylinder");
}

// Pa, root of the mean square of the wave that comes back to the valve of a cylinder.
double returning(const PointResult& r, std::size_t cylinder) {
  double sum = 0;
  const auto& trace = r.traces[cylinder].exhaust_returning;
  for (const float p : trace) sum += static_cast<double>(p) * static_cast<double>(p);
  return std::sqrt(sum / static_cast<double>(trace.size()));
}

}  // namespace

TEST_CASE("the absorbed pulse: one branch becomes an end without reflection, the rest stays") {
  const auto whole = cross_plane_v8(banks, 0.8, 0.03);
  for (std::size_t i = 0; i < whole.cylinders.size(); ++i) {
    REQUIRE(has_merge_entry(whole, i));
    const auto changed = with_pulse_absorbed(whole, i);
    CHECK(changed.pipes.size() == whole.pipes.size());
    CHECK(changed.cylinders.size() == whole.cylinders.size());
    REQUIRE(changed.junctions.size() == whole.junctions.size());
    std::size_t branches = 0;
    std::size_t before = 0;
    for (std::size_t j = 0; j < whole.junctions.size(); ++j) {
      branches += changed.junctions[j].branches.size();
      before += whole.junctions[j].branches.size();
    }
    CHECK(branches + 1 == before);
    REQUIRE(changed.anechoic_ends.size() == 1);
    const int primary = whole.exhaust_paths[i].pipes.front();
    CHECK(changed.anechoic_ends[0].end.pipe == primary);
    CHECK(changed.anechoic_ends[0].end.side == Side::right);
    CHECK(changed.exhaust_paths[i].pipes == std::vector<int>{primary});
    // Every pipe end is used once, or the first line throws. The run of a comparison starts from
    // that of the whole engine.
    PointSimulation run(changed, 100, {});
    CHECK_NOTHROW(run.start_from(PointSimulation(whole, 100, {})));
  }
}

TEST_CASE("the absorbed pulse: a cylinder by itself has no merge") {
  const auto single = single_cylinder(0.8, 0.03);
  CHECK_FALSE(has_merge_entry(single, 0));
  CHECK_THROWS_AS(with_pulse_absorbed(single, 0), std::invalid_argument);
  CHECK_FALSE(has_merge_entry(single, 7));
}

// Half a minute with sanitizers.
TEST_SUITE_BEGIN("long");
TEST_CASE("the absorbed pulse acts on its own bank, and nothing comes back to its valve") {
  const auto engine = cross_plane_v8(banks, 0.8, 0.04);
  const std::size_t one = index_of(engine, 1);
  const double speed = 100;
  PointSimulation whole(engine, speed, {});
  const auto with_all = whole.run();
  PointSimulation run(with_pulse_absorbed(engine, one), speed, {});
  run.start_from(whole);
  const auto without = run.run();
  REQUIRE(with_all.converged);
  REQUIRE(without.converged);
  CHECK(without.clipped == 0);
  CHECK(std::abs(without.ledger.mass.imbalance) < 1e-10);
  CHECK(std::abs(without.ledger.energy.imbalance) < 1e-10);
  const auto change = [&](int number) {
    const std::size_t i = index_of(engine, number);
    return with_all.cylinders[i].overlap_exhaust_pressure -
           without.cylinders[i].overlap_exhaust_pressure;
  };
  // No pipe leads to the other bank. What is left is how well a cycle repeats: a part in a thousand
  // of ambient pressure.
  for (const int number : {2, 4, 6, 8}) {
    INFO("cylinder ", number, ": ", change(number), " Pa");
    CHECK(std::abs(change(number)) < 101.325);
  }
  // On the own bank the pulse is felt: more than ten times that (the greatest of three is
  // tested, because one may by chance lie at a zero of its wave).
  double greatest = 0;
  for (const int number : {3, 5, 7}) greatest = std::max(greatest, std::abs(change(number)));
  INFO("greatest change on the own bank ", greatest, " Pa");
  CHECK(greatest > 1013.25);
  // The end absorbs what reaches it: friction and the cooling of the gas along the tube scatter a
  // little back. Regression: 0.053 of the wave with the merge in place.
  const double left = returning(without, one) / returning(with_all, one);
  INFO("returning wave, share left ", left);
  CHECK(left < 0.1);
}
TEST_SUITE_END();

}  // namespace pulsewright::tests
