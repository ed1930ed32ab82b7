// At which speeds a difference must be known for a verdict over the band.
#include "tools/study/interval.hpp"

#include <cstddef>
#include <doctest/doctest.h>
#include <vector>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace tools;

namespace {

// A run at 60, 70, 80 rev/s with these torques; what does not count did not repeat.
StoredRun run_of(const RunVariant& variant, double cell_size, const std::vector<double>& torques,
                 const std::vector<bool>& counts) {
  StoredRun run{variant, cell_size, {}};
  for (std::size_t s = 0; s < torques.size(); ++s) {
    StoredPoint point;
    point.status = counts[s] ? PointStatus::converged : PointStatus::not_converged;
    point.result.emplace().torque = torques[s];
    run.points.push_back(point);
  }
  return run;
}

StoredHeader header_of(double torque, const std::vector<bool>& counts) {
  StoredHeader header;
  const std::vector<double> torques(counts.size(), torque);
  header.production = run_of(production_grid, 0.01, torques, counts);
  for (const RunVariant& variant : {coarse_grid, with_coupling(models::MergeCoupling::weak),
                                    with_coupling(models::MergeCoupling::strong), cooler_gas}) {
    header.variants.push_back(
        run_of(variant, 0.03, torques, std::vector<bool>(counts.size(), true)));
  }
  return header;
}

Difference difference(const std::vector<bool>& counts, Band band = {60, 80}) {
  StudyPlan plan;
  plan.settings.quick = false;
  plan.settings.build_tolerance = 0;
  for (std::size_t s = 0; s < counts.size(); ++s)
    plan.speeds.push_back(60 + 10.0 * static_cast<double>(s));
  const StoredHeader one = header_of(500, counts);
  const StoredHeader other = header_of(490, std::vector<bool>(counts.size(), true));
  const Figure torque = [](const models::PointResult& p) { return p.torque; };
  const Figure noise = [](const models::PointResult&) { return 0.0; };
  return interval_of(plan, RunFigures(one, &other, false), torque, noise, band);
}

}  // namespace

TEST_CASE("a difference is known over a band where half of it counts, at two speeds at least") {
  const Difference all = difference({true, true, true});
  CHECK(all.complete);
  CHECK(near(all.value, 10, 1e-12));
  // Weights of a quarter, a half and a quarter.
  CHECK(difference({true, true, false}).complete);
  CHECK(difference({true, false, true}).complete);
  for (const std::vector<bool>& one :
       {std::vector<bool>{true, false, false}, {false, true, false}}) {
    const Difference alone = difference(one);
    CHECK_FALSE(alone.complete);
    CHECK(near(alone.value, 10, 1e-12));  // shown all the same
  }
  // At a single speed, and of a study that ran no other one, that one is enough.
  CHECK(difference({true, false, false}, {60, 60}).complete);
  CHECK(difference({true}).complete);
}

}  // namespace pulsewright::tests
