// Cam cards: the lobe passes through every figure, and what it implies at the seat.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <optional>
#include <string>

#include "cases/cam_lobe.hpp"
#include "cases/case_reader.hpp"
#include "cases/engine_figures.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

constexpr double per_inch = 0.0254;

CamCard exhaust_card() {
  CamCard card;
  card.timing = ValveTiming{0, 98, 400};
  card.lift = 0.0145;
  card.durations = {{0.00127 * 1.6, 256}};
  return card;
}

// A catalogue entry of the trade (invented, of the usual proportions): lobe of 0.350 in, rockers of
// 1.5, 282 deg at 0.006 in, 230 deg at 0.050 in.
CamCard catalogue_card() {
  CamCard card;
  card.rocker_ratio = 1.5;
  card.lift = 0.350 * 1.5 * per_inch;
  card.centerline_deg = 466;
  card.durations = {{0.006 * 1.5 * per_inch, 282}, {0.050 * 1.5 * per_inch, 230}};
  return card;
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

// Crank angle in deg over which a lobe is above `lift`, by bisection on each flank.
double lobe_duration(const Lobe& lobe, double lift) {
  double sum = 0;
  for (const double end : {lobe.opens_deg, lobe.closes_deg}) {
    double above = lobe.centerline_deg;
    double below = end;
    for (int i = 0; i < 60; ++i) {
      const double middle = (above + below) / 2;
      (lobe_lift(lobe, middle) > lift ? above : below) = middle;
    }
    sum += std::abs(above - lobe.centerline_deg);
  }
  return sum;
}

// The sample with another exhaust cam, and what `check` says of it.
EngineFigures figures_of(const std::string& cam, const std::string& rest = "") {
  const std::string text =
      replaced(sample_text(),
               "timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = "
               "\"14 mm\"\nduration = \"256 deg\"",
               cam);
  return engine_figures(read_case_text(text + rest, "cam.toml"));
}

}  // namespace

TEST_CASE("a lobe meets the figures of its card") {
  const CamCard card = exhaust_card();
  const auto curve = lift_of_lobe(lobe_of_card(card));
  CHECK(near(curve.angle_deg.front(), 98, 1e-12));
  CHECK(near(curve.angle_deg.back(), 400, 1e-12));
  CHECK(near(*std::max_element(curve.lift.begin(), curve.lift.end()), card.lift, 1e-12));
  // Points every degree, straight between them: 0.02 deg is the error of the interpolation.
  CHECK(near(duration_above(curve, card.durations[0].lift), 256, 0, 0.02));
  for (std::size_t i = 1; i < curve.angle_deg.size(); ++i) {
    CHECK(curve.angle_deg[i] > curve.angle_deg[i - 1]);
    CHECK(curve.angle_deg[i] - curve.angle_deg[i - 1] <= 1 + 1e-9);
  }
}

TEST_CASE("a lobe has zero lift and slope at its ends, and zero slope at full lift") {
  const Lobe lobe = lobe_of_card(exhaust_card());
  REQUIRE(lobe.exponents.size() == 1);
  const double k = lobe.exponents[0].k;
  CHECK(k > 1);
  CHECK(lobe_lift(lobe, lobe.opens_deg) == 0);
  CHECK(lobe_lift(lobe, lobe.closes_deg) == 0);
  CHECK(lobe_lift(lobe, lobe.opens_deg - 1) == 0);
  CHECK(near(lobe_lift(lobe, lobe.centerline_deg), lobe.lift, 1e-12));
  // Near the ends the lift goes with the power k > 1 of the distance: the slope falls with it.
  const double far = lobe_lift(lobe, lobe.opens_deg + 1e-2) / 1e-2;
  const double close = lobe_lift(lobe, lobe.opens_deg + 1e-4) / 1e-4;
  CHECK(near(close / far, std::pow(1e-2, k - 1), 1e-3));
  const double top = lobe_lift(lobe, lobe.centerline_deg + 1e-3);
  CHECK(near((lobe.lift - top) / 1e-3, 0, 0, 1e-8));
}

TEST_CASE("a lobe is symmetric unless its centre is given elsewhere") {
  CamCard card = exhaust_card();
  const Lobe lobe = lobe_of_card(card);
  for (const double x : {10.0, 60.0, 120.0}) {
    CHECK(near(lobe_lift(lobe, lobe.centerline_deg - x), lobe_lift(lobe, lobe.centerline_deg + x),
               1e-14));
  }
  card.centerline_deg = 240;
  const auto curve = lift_of_lobe(lobe_of_card(card));
  CHECK(near(duration_above(curve, card.durations[0].lift), 256, 0, 0.02));
  const auto top = std::max_element(curve.lift.begin(), curve.lift.end()) - curve.lift.begin();
  CHECK(near(curve.angle_deg[static_cast<std::size_t>(top)], 240, 1e-12));
}

TEST_CASE("lash comes off the lift and shortens the opening") {
  CamCard card = exhaust_card();
  card.lash = 0.4e-3;
  for (const bool third : {false, true}) {  // with a constant exponent and with one that bends
    if (third) card.durations.push_back({0.2 * 1.6 * per_inch, 175});
    const Lobe lobe = lobe_of_card(card);
    const auto curve = lift_of_lobe(lobe);
    CHECK(near(*std::max_element(curve.lift.begin(), curve.lift.end()), 0.0141, 1e-12));
    CHECK(curve.angle_deg.front() > 98);
    CHECK(curve.angle_deg.back() < 400);
    CHECK(near(lobe_lift(lobe, curve.angle_deg.front()), card.lash, 1e-9));
    CHECK(curve.lift.front() == 0);
    CHECK(curve.lift.back() == 0);
  }
}

TEST_CASE("two durations give the seat back: worked by hand") {
  // Lobe 10 mm (1 - xi^2)^2 over 300 deg. At 0.1 mm (1 - xi^2)^2 = 0.01, xi = sqrt(0.9): 284.605
  // deg; at 1 mm xi = sqrt(1 - sqrt(0.1)): 248.072 deg.
  CamCard card;
  card.lift = 0.010;
  card.centerline_deg = 250;
  card.durations = {{0.001, 248.0716}, {0.0001, 284.6050}};  // in any order
  const Lobe lobe = lobe_of_card(card);
  CHECK(!lobe.assumed);
  CHECK(near(lobe.closes_deg - lobe.opens_deg, 300, 1e-5));
  CHECK(near(lobe.opens_deg, 100, 1e-5));
  REQUIRE(lobe.exponents.size() == 1);
  CHECK(near(lobe.exponents[0].k, 2, 1e-5));
  CHECK(near(lobe_duration(lobe, 0.0001), 284.6050, 1e-6));
  // Lifts of the follower, rising.
  REQUIRE(lobe.card_lifts.size() == 2);
  CHECK(near(lobe.card_lifts[0], 0.0001 / card.rocker_ratio, 1e-12));
  CHECK(near(lobe.card_lifts[1], 0.001 / card.rocker_ratio, 1e-12));
}

TEST_CASE("of a card with two faults the timing is told first") {
  CamCard card = exhaust_card();
  card.centerline_deg = 420;
  card.durations.push_back({card.durations[0].lift, card.durations[0].deg + 10});
  CHECK_THROWS_WITH_AS(lobe_of_card(card),
                       "the valve must open before full lift and close after it", CamError);
}

TEST_CASE("a lobe passes through three durations and the timing of the seat") {
  CamCard card = catalogue_card();
  card.durations.push_back({0.200 * 1.5 * per_inch, 148});
  Lobe lobe = lobe_of_card(card);
  for (const CheckedDuration& one : card.durations) {
    CHECK(near(lobe_duration(lobe, one.lift), one.deg, 1e-9));
    CHECK(near(lobe_lift(lobe, 466 - one.deg / 2), one.lift, 1e-9));
  }
  // Seat timing beside them takes the place of what the two lowest imply.
  card.timing = ValveTiming{0, 466 - 155, 466 + 155};
  lobe = lobe_of_card(card);
  CHECK(lobe.opens_deg == 311);
  for (const CheckedDuration& one : card.durations) {
    CHECK(near(lobe_duration(lobe, one.lift), one.deg, 1e-9));
  }
  // Lift rises all the way to the centerline.
  const auto curve = lift_of_lobe(lobe);
  for (std::size_t i = 1; i < curve.lift.size() && curve.angle_deg[i] <= 466; ++i) {
    CHECK(curve.lift[i] > curve.lift[i - 1]);
  }
}

TEST_CASE("one duration alone gets the ramps that most cams have (common practice, no source)") {
  // From 0.006 to 0.050 in hydraulic cams have 45 to 60 deg: the advertised 282 deg go with 230.
  CamCard card = catalogue_card();
  card.durations.erase(card.durations.begin());
  const Lobe lobe = lobe_of_card(card);
  CHECK(lobe.assumed);
  CHECK(near(lobe_duration(lobe, 0.050 * 1.5 * per_inch), 230, 1e-12));
  CHECK(near(lobe_duration(lobe, 0.006 * 1.5 * per_inch), 280, 0, 1));
  for (const double k : {2.0, 3.0}) {
    card.exponent = k;
    const double ramps = lobe_duration(lobe_of_card(card), 0.006 * 1.5 * per_inch) - 230;
    CHECK(near(ramps, k == 2 ? 42 : 57, 0, 0.6));
  }
}

TEST_CASE("timing at a lift is a duration there, divided by the centerline") {
  CamCard card = catalogue_card();
  card.durations.pop_back();  // 282 deg at 0.006 in stays
  card.centerline_deg.reset();
  card.timing = ValveTiming{0.050 * 1.5 * per_inch, 351, 581};
  const Lobe lobe = lobe_of_card(card);
  CHECK(lobe.centerline_deg == 466);
  CHECK(near(lobe_lift(lobe, 351), 0.050 * 1.5 * per_inch, 1e-9));
  CHECK(near(lobe_duration(lobe, 0.006 * 1.5 * per_inch), 282, 1e-9));
  // The same lobe as from the two durations.
  CHECK(near(lobe.opens_deg, lobe_of_card(catalogue_card()).opens_deg, 1e-9));
  card.centerline_deg = 464;  // three degrees sooner than the middle
  const Lobe skewed = lobe_of_card(card);
  CHECK(near(lobe_lift(skewed, 351), 0.050 * 1.5 * per_inch, 1e-9));
  CHECK(near(lobe_lift(skewed, 581), 0.050 * 1.5 * per_inch, 1e-9));
  CHECK(near((464 - skewed.opens_deg) / (skewed.closes_deg - 464), 113.0 / 117.0, 1e-12));
}

TEST_CASE("cards that contradict themselves are refused") {
  CamCard card = exhaust_card();
  card.durations[0].deg = 302;
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card.durations[0].deg = 300;  // too full: the valve would hit its seat
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card.durations[0].deg = 90;
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = exhaust_card();
  card.lash = 0.02;
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = exhaust_card();
  card.centerline_deg = 90;
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = exhaust_card();
  card.durations[0].lift = 0.02;
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = catalogue_card();
  card.durations[1].deg = 283;  // longer at more lift
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = catalogue_card();
  card.durations[0].deg = 330;  // ramps of 100 deg
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = catalogue_card();
  card.durations[0].deg = 231;  // none at all
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = catalogue_card();
  card.centerline_deg.reset();
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
  card = catalogue_card();
  card.durations.clear();
  CHECK_THROWS_AS(lobe_of_card(card), CamError);
}

TEST_CASE("a card of duration, lobe separation and intake centerline") {
  // By the arithmetic of cam cards: exhaust centerline 2 x 110 - 106 = 114 deg BTDC; 230 deg at
  // 0.050 in open 114 + 115 - 180 = 49 deg BBDC and close 115 - 114 = 1 deg ATDC.
  const EngineFigures f = figures_of(
      "lobe_lift = \"0.350 in\"\nrocker_ratio = 1.5\nfollower = \"hydraulic\"\nduration = \"230 "
      "deg\"\nadvertised_duration = \"282 deg\"\nadvertised_lift = \"0.006 in\"",
      "[cam]\nlobe_separation = \"110 deg\"\nintake_centerline = \"106 deg ATDC\"\n");
  CHECK(near(f.exhaust.centerline_deg, 360 - 114, 0, 1e-9));
  CHECK(near(f.lobe_separation_deg, 110, 0, 1e-9));
  REQUIRE(f.exhaust.checked.has_value());
  const auto checked = f.exhaust.checked.value_or(ValveTiming{});
  CHECK(near(checked.opens_deg, 180 - 49, 0, 0.02));
  CHECK(near(checked.closes_deg, 360 + 1, 0, 0.02));
  CHECK(near(f.exhaust.full_lift, 0.525 * per_inch, 1e-9));
  // Outside the 282 deg at 0.006 in: the seat.
  CHECK(f.exhaust.opens_deg < 246 - 141);
  CHECK(f.exhaust.closes_deg > 246 + 141);
}

TEST_CASE("timing typed as printed at 0.050 in is not seat timing") {
  const std::string rest = "closes = \"4 deg ATDC\"\nlift = \"14 mm\"\nrocker_ratio = 1.6";
  const EngineFigures printed =
      figures_of("timing_lift = \"0.050 in\"\nopens = \"52 deg BBDC\"\n" + rest);
  REQUIRE(printed.exhaust.checked.has_value());
  const auto checked = printed.exhaust.checked.value_or(ValveTiming{});
  CHECK(near(checked.opens_deg, 128, 0, 0.02));
  CHECK(near(checked.closes_deg, 364, 0, 0.02));
  CHECK(printed.exhaust.opens_deg < 128 - 20);
  CHECK(printed.exhaust.closes_deg > 364 + 20);
  const EngineFigures seat = figures_of("timing_lift = \"0 in\"\nopens = \"52 deg BBDC\"\n" + rest);
  CHECK(seat.exhaust.opens_deg == 128);
  CHECK(seat.exhaust.closes_deg == 364);
}

TEST_CASE("a lobe whose ramps are not on the card is listed as assumed") {
  const std::string text = replaced(
      sample_text(), "timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"",
      "timing_lift = \"0.050 in\"\nopens = \"58 deg BBDC\"\ncloses = \"18 deg ATDC\"");
  const auto assumed = [](const std::string& of) {
    const auto list = read_case_text(of, "cam.toml").assumptions;
    return std::any_of(list.begin(), list.end(), [](const Assumption& one) {
      return one.key == "exhaust_valve.cam.lobe_exponent" && one.value == "2.5" &&
             one.least == "2" && one.greatest == "3";
    });
  };
  CHECK(assumed(text));
  CHECK(!assumed(replaced(text, "closes = \"18 deg ATDC\"",
                          "closes = \"18 deg ATDC\"\nadvertised_duration = \"300 "
                          "deg\"\nadvertised_lift = \"0.006 in\"")));
  CHECK(!assumed(sample_text()));
}
