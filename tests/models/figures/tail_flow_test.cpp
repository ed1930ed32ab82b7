// The flow out of the tails that sound is made of: mass against the ledger, volume against mass,
// and traces that do not depend on how finely they are sampled.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "models/engine/point_simulation.hpp"
#include "tests/near.hpp"

namespace pulsewright::tests {

namespace {

constexpr double tail_speed = 4000.0 / 60;  // rev/s

models::PointResult traced_single(int trace_points) {
  const auto case_file =
      cases::read_case_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  cases::BuildOptions coarse;
  coarse.cell_size = 0.04;
  models::RunSettings settings = case_file.run.settings;
  settings.trace_points = trace_points;
  return models::PointSimulation(cases::build_engine(case_file, case_file.headers.front(), coarse),
                                 tail_speed, settings)
      .run([] { return true; });
}

double mean(const std::vector<float>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

}  // namespace

TEST_CASE(
    "the trace of a tail holds the mass that the ledger counted and the volume that it takes up") {
  const models::PointResult point = traced_single(720);
  REQUIRE(point.converged);
  REQUIRE(point.tails.size() == 1);
  const auto& mass = point.tails[0].mass_flow;
  const auto& volume = point.tails[0].volume_flow;
  REQUIRE(mass.size() == 720);
  REQUIRE(volume.size() == 720);
  // Means of 720 values of a flow that is nowhere steeper than some degrees.
  CHECK(near(mean(mass) / (0.5 * tail_speed), point.ledger.mass.out, 2e-3));
  // Gas that leaves is exhaust gas of at most 1500 K (common practice, no source) and R of at most
  // 300 J/(kg K), or air that entered before, which at most is colder by the tenth of its
  // temperature that moving at 240 m/s takes (u^2 / (2 cp)); a tenth more or less for the pressure
  // at the end. Air that enters has the density of the case, 101325 Pa and 20 degC. Where the flow
  // turns between two steps, linear between them, the ratio is that of neither.
  constexpr double outside = 287.05 * 293.15 / 101325;  // m3/kg
  int leaves = 0, enters = 0;
  double hottest = 0;  // m3/kg
  for (std::size_t i = 0; i < mass.size(); ++i) {
    const float next = mass[(i + 1) % mass.size()];
    const float last = mass[(i + mass.size() - 1) % mass.size()];
    const double ratio = volume[i] / mass[i];
    if (std::min({mass[i], next, last}) > 1e-3F) {
      ++leaves;
      hottest = std::max(hottest, ratio);
      CHECK(ratio > 0.8 * outside);
      CHECK(ratio < 1.1 * 300.0 * 1500 / 101325);
    } else if (std::max({mass[i], next, last}) < -1e-3F) {
      ++enters;
      CHECK(near(ratio, outside, 1e-3));
    }
  }
  CHECK(leaves > 100);
  CHECK(hottest > 2 * outside);  // above 600 K
  CHECK(enters > 20);
}

TEST_CASE("a trace of a tail does not depend on how finely it is sampled") {
  const models::PointResult coarse = traced_single(720);
  const models::PointResult fine = traced_single(2880);
  for (std::size_t i = 0; i < 720; ++i)
    CHECK(near(fine.tails[0].volume_flow[4 * i], coarse.tails[0].volume_flow[i], 1e-5, 1e-6));
}

}  // namespace pulsewright::tests
