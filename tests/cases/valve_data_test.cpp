// Flow-bench figures.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/flow_bench.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;

BenchState bench(double inches_of_water) {
  BenchState state;
  state.depression = inches_of_water * 249.08891;
  return state;
}

}  // namespace

TEST_CASE("flow bench: small depressions scale with the square root") {
  // Incompressible limit; at 28 in the ideal flow is 4 % below it.
  const double ratio = ideal_volume_flux(bench(0.02)) / ideal_volume_flux(bench(0.01));
  CHECK(near(ratio, std::sqrt(2.0), 1e-4));
  const double density = bench_mass_flow(bench(28), 1);
  const double incompressible = std::sqrt(2 * bench(28).depression / density);
  CHECK(near(incompressible * pulsewright::tests::inch * pulsewright::tests::inch / cfm, 147.1331,
             2e-5));
}

TEST_CASE("figures of another depression, converted by the square root as shops do, agree") {
  // 28 to 10 inches: factor sqrt(10 / 28) = 0.597614. An ideal nozzle passes 1 - 3 / (4 gamma) dp/p
  // less than an incompressible one, to first order: 0.98683 at 10 inches; 141.6041 / 147.1331 at
  // 28. So the converted figure gives 2.5 % less area, which is the error of the square root.
  const double flow = 200 * cfm;
  const double ratio =
      effective_area(bench(10), std::sqrt(10.0 / 28) * flow) / effective_area(bench(28), flow);
  CHECK(near(ratio, 141.6041 / 147.1331 / 0.98683, 3e-4));
}

TEST_CASE("one flow makes a typical curve through it, below the curtain") {
  const double seat = 0.040;
  const auto curve = typical_flow_curve(seat, 0.012, 700e-6);
  REQUIRE(curve.lift.size() == curve.area.size());
  CHECK(curve.lift.front() == 0);
  CHECK(curve.area.front() == 0);
  CHECK(curve.lift.back() == 0.012);
  CHECK(curve.area.back() == 700e-6);
  for (std::size_t i = 1; i < curve.lift.size(); ++i) {
    CHECK(curve.lift[i] > curve.lift[i - 1]);
    CHECK(curve.area[i] > curve.area[i - 1]);
    CHECK(curve.area[i] <= curtain_area(seat, curve.lift[i]));
  }
  // Heywood's coefficients on the curtain area: 0.63 at 0.20 and 0.52 at 0.30 of the diameter.
  REQUIRE(curve.lift.size() == 7);
  CHECK(near(curve.area[4] / curve.area[6], 0.63 * 0.20 / (0.52 * 0.30), 1e-6));
  CHECK(near(typical_flow_curve(seat, 0.020, 700e-6).area[8], 700e-6, 1e-12));  // level beyond 0.4
}

TEST_CASE("a bench figure above the ideal nozzle is used up to it, and one alone makes a curve") {
  const auto exhaust = [](const char* table) {
    const std::string text = replaced(
        sample_text(),
        "lift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]\nforward = [\"68 cfm\", \"168 cfm\", \"207 "
        "cfm\"]",
        table);
    return read_case_text(text, "flow.toml");
  };
  const CaseFile ported = exhaust(
      "lift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]\nforward = [\"68 cfm\", \"168 cfm\", \"280 "
      "cfm\"]");
  CHECK(near(ported.exhaust_valve.forward.area.back(), seat_area(0.039, 0), 1e-12));
  const CaseFile peak = exhaust("lift = [\"0.5 in\"]\nforward = [\"207 cfm\"]");
  const auto& curve = peak.exhaust_valve.forward;
  CHECK(near(curve.area.back(), effective_area(bench(28), 207 * cfm), 1e-12));
  CHECK(curve.lift.size() > 5);
  CHECK(std::any_of(peak.assumptions.begin(), peak.assumptions.end(), [](const auto& one) {
    return one.key == "exhaust_valve.flow.forward" && one.least.empty();
  }));
}

TEST_CASE("flow curves start at zero and share the flow between equal valves") {
  const auto one = flow_curve(bench(28), {0.002, 0.004}, {0.03, 0.05}, 1);
  const auto two = flow_curve(bench(28), {0, 0.002, 0.004}, {0, 0.03, 0.05}, 2);
  REQUIRE(one.lift.size() == 3);
  CHECK(one.lift == two.lift);
  CHECK(one.area[0] == 0);
  CHECK(near(two.area[2], one.area[2] / 2, 1e-14));
  CHECK_THROWS_AS(flow_curve(bench(28), {0.002}, {0.03, 0.05}, 1), std::invalid_argument);
  CHECK_THROWS_AS(ideal_mass_flux(bench(0)), std::invalid_argument);
  CHECK_THROWS_AS(ideal_mass_flux(bench(300)), std::invalid_argument);
}
