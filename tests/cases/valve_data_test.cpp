// Cam cards and flow-bench figures.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <stdexcept>

#include "cases/cam_lobe.hpp"
#include "cases/flow_bench.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

constexpr double inch = 0.0254;
constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;

CamCard exhaust_card() {
  CamCard card;
  card.opens_deg = 98;
  card.closes_deg = 400;
  card.centerline_deg = 249;
  card.lift = 0.0145;
  card.duration_deg = 256;
  card.checking_lift = 0.00127 * 1.6;
  return card;
}

BenchState bench(double inches_of_water) {
  BenchState state;
  state.depression = inches_of_water * 249.08891;
  return state;
}

// Crank angle over which the curve is above `lift`, by linear interpolation.
double duration_above(const pulsewright::models::LiftCurve& curve, double lift) {
  double first = 0;
  double last = 0;
  for (std::size_t i = 1; i < curve.lift.size(); ++i) {
    const double a = curve.lift[i - 1];
    const double b = curve.lift[i];
    if ((a < lift) == (b < lift)) continue;
    const double angle = curve.angle_deg[i - 1] +
                         (lift - a) / (b - a) * (curve.angle_deg[i] - curve.angle_deg[i - 1]);
    (a < lift ? first : last) = angle;
  }
  return last - first;
}

}  // namespace

TEST_CASE("a lobe meets the figures of its card") {
  const CamCard card = exhaust_card();
  const auto curve = lift_from_card(card);
  CHECK(near(curve.angle_deg.front(), 98, 1e-12));
  CHECK(near(curve.angle_deg.back(), 400, 1e-12));
  CHECK(near(*std::max_element(curve.lift.begin(), curve.lift.end()), card.lift, 1e-12));
  // Points every degree, straight between them: 0.02 deg is the error of the interpolation.
  CHECK(near(duration_above(curve, card.checking_lift), 256, 0, 0.02));
  for (std::size_t i = 1; i < curve.angle_deg.size(); ++i) {
    CHECK(curve.angle_deg[i] > curve.angle_deg[i - 1]);
    CHECK(curve.angle_deg[i] - curve.angle_deg[i - 1] <= 1 + 1e-9);
  }
}

TEST_CASE("a lobe has zero lift and slope at its ends, and zero slope at full lift") {
  const CamCard card = exhaust_card();
  const double k = lobe_exponent(card);
  CHECK(k > 1);
  CHECK(lobe_lift(card, k, card.opens_deg) == 0);
  CHECK(lobe_lift(card, k, card.closes_deg) == 0);
  CHECK(lobe_lift(card, k, card.opens_deg - 1) == 0);
  CHECK(near(lobe_lift(card, k, card.centerline_deg), card.lift, 1e-12));
  // Near the ends the lift goes with the power k > 1 of the distance: the slope falls with it.
  const double far = lobe_lift(card, k, card.opens_deg + 1e-2) / 1e-2;
  const double close = lobe_lift(card, k, card.opens_deg + 1e-4) / 1e-4;
  CHECK(near(close / far, std::pow(1e-2, k - 1), 1e-3));
  const double top = lobe_lift(card, k, card.centerline_deg + 1e-3);
  CHECK(near((card.lift - top) / 1e-3, 0, 0, 1e-8));
}

TEST_CASE("a lobe is symmetric unless its centre is given elsewhere") {
  CamCard card = exhaust_card();
  const double k = lobe_exponent(card);
  for (const double x : {10.0, 60.0, 120.0}) {
    CHECK(near(lobe_lift(card, k, card.centerline_deg - x),
               lobe_lift(card, k, card.centerline_deg + x), 1e-14));
  }
  card.centerline_deg = 240;
  const auto curve = lift_from_card(card);
  CHECK(near(duration_above(curve, card.checking_lift), 256, 0, 0.02));
  const auto top = std::max_element(curve.lift.begin(), curve.lift.end()) - curve.lift.begin();
  CHECK(near(curve.angle_deg[static_cast<std::size_t>(top)], 240, 1e-12));
}

TEST_CASE("lash comes off the lift and shortens the opening") {
  CamCard card = exhaust_card();
  card.lash = 0.4e-3;
  const auto curve = lift_from_card(card);
  CHECK(near(*std::max_element(curve.lift.begin(), curve.lift.end()), 0.0141, 1e-12));
  CHECK(curve.angle_deg.front() > 98);
  CHECK(curve.angle_deg.back() < 400);
  CHECK(near(lobe_lift(card, lobe_exponent(card), curve.angle_deg.front()), card.lash, 1e-9));
  CHECK(curve.lift.front() == 0);
  CHECK(curve.lift.back() == 0);
}

TEST_CASE("cards that contradict themselves are refused") {
  CamCard card = exhaust_card();
  card.duration_deg = 302;
  CHECK_THROWS_AS(lift_from_card(card), CamError);
  card.duration_deg = 300;  // too full: the valve would hit its seat
  CHECK_THROWS_AS(lift_from_card(card), CamError);
  card.duration_deg = 90;
  CHECK_THROWS_AS(lift_from_card(card), CamError);
  card = exhaust_card();
  card.lash = 0.02;
  CHECK_THROWS_AS(lift_from_card(card), CamError);
  card = exhaust_card();
  card.centerline_deg = 90;
  CHECK_THROWS_AS(lift_from_card(card), CamError);
  card = exhaust_card();
  card.checking_lift = 0.02;
  CHECK_THROWS_AS(lift_from_card(card), CamError);
}

TEST_CASE("flow bench: small depressions scale with the square root") {
  // Incompressible limit; at 28 in the ideal flow is 4 % below it.
  const double ratio = ideal_volume_flux(bench(0.02)) / ideal_volume_flux(bench(0.01));
  CHECK(near(ratio, std::sqrt(2.0), 1e-4));
  const double density = bench_mass_flow(bench(28), 1);
  const double incompressible = std::sqrt(2 * bench(28).depression / density);
  CHECK(near(incompressible * inch * inch / cfm, 147.1331, 2e-5));
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
