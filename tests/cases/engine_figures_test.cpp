// Figures of an engine and its headers, and the hand rules.
#include "cases/engine_figures.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/header_figures.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::inch;
using pulsewright::tests::near;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;
using pulsewright::tests::shipped_folder;

namespace {

constexpr double pi = std::numbers::pi;

CaseFile sample() { return read_case_text(sample_text(), "sample.toml"); }

}  // namespace

TEST_CASE("displacement, compression and piston speed") {
  const EngineFigures f = engine_figures(sample());
  // pi / 4 x 102^2 x 76.5 mm3 = 625.1 cm3, eight times.
  CHECK(near(f.cylinder_volume, 625.1e-6, 1e-4, 0));
  CHECK(near(f.displacement, 5000.8e-6, 1e-4, 0));
  CHECK(f.compression_ratio == 12);
  // Slider-crank at 74 deg after bottom dead centre, r 38.25, l 150 mm: the piston is 53.37 mm
  // below the top; clearance height 76.5 / 11 mm.
  const auto& less_lash = f.at(TimingAtLift::From::lash);
  REQUIRE(less_lash.compression_ratio.has_value());
  CHECK(near(*less_lash.compression_ratio, 8.674, 2e-4, 0));
  CHECK(near(f.mean_piston_speed, 2 * 0.0765 * 7500 / 60, 1e-12, 0));
}

TEST_CASE("timing of the cam card at the seat and at 0.050 in of the follower") {
  const EngineFigures f = engine_figures(sample());
  CHECK(f.exhaust.opens_deg == 98);
  CHECK(f.exhaust.closes_deg == 400);
  const TimingAtLift& seat = f.at(TimingAtLift::From::seat);
  const TimingAtLift& checked = f.at_lift(0.050 * inch);
  REQUIRE(seat.overlap_deg.has_value());
  CHECK(*seat.overlap_deg == 82);  // 40 deg ATDC and 42 deg BTDC
  // The card says the duration at 0.050 in. Lift is linear between points one degree apart.
  REQUIRE(f.exhaust.checked.has_value());
  REQUIRE(f.intake.checked.has_value());
  REQUIRE(checked.overlap_deg.has_value());
  CHECK(near(f.exhaust.checked->closes_deg - f.exhaust.checked->opens_deg, 256, 0, 0.02));
  CHECK(near(f.intake.checked->closes_deg - f.intake.checked->opens_deg, 252, 0, 0.02));
  // Centerlines 249 and 466 deg; half of each duration from there.
  CHECK(near(*checked.overlap_deg, (249 + 128) - (466 - 126), 0, 0.02));
  CHECK(f.exhaust.centerline_deg == 249);
  // As cam makers do it: a quarter of both durations less half of the overlap.
  CHECK(near(f.lobe_separation_deg, (302 + 296) / 4.0 - 82 / 2.0, 1e-12, 0));
}

TEST_CASE("hand rules count the opening at the seat, or at 0.006 in where the ramps are open") {
  const EngineFigures seat = engine_figures(sample());
  CHECK(seat.exhaust.advertised.opens_deg == seat.exhaust.opens_deg);
  CHECK(seat.exhaust.advertised.closes_deg == seat.exhaust.closes_deg);
  // The same lobe by its duration at 0.050 in alone: the seat is the reader's guess. 0.006 in of
  // lift lies between the seat and 0.050 in.
  const std::string card = replaced(
      sample_text(), "timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"",
      "centerline = \"111 deg BTDC\"");
  const EngineFigures open = engine_figures(read_case_text(card, "card.toml"));
  REQUIRE(open.exhaust.checked.has_value());
  CHECK(open.exhaust.advertised.opens_deg > open.exhaust.opens_deg);
  CHECK(open.exhaust.advertised.opens_deg < open.exhaust.checked->opens_deg);
  CHECK(open.exhaust.advertised.closes_deg < open.exhaust.closes_deg);
  CHECK(open.exhaust.advertised.closes_deg > open.exhaust.checked->closes_deg);
}

TEST_CASE("rocker ratio and lash are taken into account at 0.050 in") {
  const EngineFigures f = engine_figures(read_case_file(shipped_folder() / "hillclimb-v8.toml"));
  REQUIRE(f.exhaust.checked.has_value());
  CHECK(near(f.exhaust.checked->closes_deg - f.exhaust.checked->opens_deg, 256, 0, 0.02));
  CHECK(f.exhaust.closes_deg - f.exhaust.opens_deg == 302);
  CHECK(f.exhaust.open_deg < 300);
  CHECK(near(f.exhaust.full_lift, 14.1e-3, 1e-6, 0));  // 14.5 mm less 0.4 mm of lash
}

TEST_CASE("timing of a lift table") {
  std::string text = replaced(
      sample_text(),
      "[exhaust_valve.cam]\ntiming_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg "
      "ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
      "[exhaust_valve.lift_table]\nangle = [\"100 deg\", \"250 deg\", "
      "\"400 deg\"]\nlift = [\"0 mm\", \"12.7 mm\", \"0 mm\"]");
  REQUIRE(!text.empty());
  const EngineFigures f = engine_figures(read_case_text(text, "table.toml"));
  REQUIRE(f.exhaust.checked.has_value());
  // A tenth of the lift, 1.27 mm, at a tenth of each flank of 150 deg.
  CHECK(near(f.exhaust.checked->opens_deg, 115, 1e-9, 0));
  CHECK(near(f.exhaust.checked->closes_deg, 385, 1e-9, 0));
  CHECK(near(f.exhaust.centerline_deg, 250, 1e-9, 0));
  text = replaced(text, "\"12.7 mm\"", "\"1 mm\"");
  const EngineFigures low = engine_figures(read_case_text(text, "table.toml"));
  CHECK(!low.exhaust.checked.has_value());
  CHECK(!low.at_lift(0.050 * inch).overlap_deg.has_value());
}

TEST_CASE("a card of one duration: overlap and compression by the lift they count from") {
  // Both lobes 0.350 in, 230 deg at 0.050 in, centerlines 106 deg after and before top dead centre,
  // rockers of 1.5 and 0.018 in of lash at the exhaust. With the exponent 2.5 half the duration at
  // a lift l is w sqrt(1 - (l / 0.35)^0.4), and w = 115 deg / sqrt(1 - (0.05 / 0.35)^0.4): worked
  // by hand.
  std::string text = sample_text();
  text = replaced(text,
                  "timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\n"
                  "lift = \"14 mm\"\nduration = \"256 deg\"",
                  "duration = \"230 deg\"\nchecking_lift = \"0.050 in\"\nrocker_ratio = 1.5\n"
                  "lobe_lift = \"0.350 in\"\nfollower = \"solid\"\nlash = \"18 mil\"");
  text = replaced(text,
                  "timing_lift = \"0 in\"\nopens = \"42 deg BTDC\"\ncloses = \"74 deg ABDC\"\n"
                  "lift = \"14 mm\"\nduration = \"252 deg\"",
                  "duration = \"230 deg\"\nchecking_lift = \"0.050 in\"\nrocker_ratio = 1.5\n"
                  "lobe_lift = \"0.350 in\"\nfollower = \"hydraulic\"");
  REQUIRE(!text.empty());
  const EngineFigures f = engine_figures(read_case_text(
      text + "[cam]\nlobe_separation = \"106 deg\"\nintake_centerline = \"106 deg\"\n",
      "card.toml"));
  const double w = 115 / std::sqrt(1 - std::pow(0.05 / 0.35, 0.4));
  CHECK(near(w, 156.37, 1e-4));
  const double half = w * std::sqrt(1 - std::pow(0.006 / 0.35, 0.4));
  CHECK(near(2 * half, 280.32, 1e-4));
  const TimingAtLift& advertised = f.at_lift(0.006 * inch);
  REQUIRE(advertised.overlap_deg.has_value());
  CHECK(near(*advertised.overlap_deg, 2 * (half - 106), 1e-6));
  // The lash does not count in what the follower does, only in what the valve does.
  CHECK(near(*f.at(TimingAtLift::From::seat).overlap_deg, 2 * (w - 106), 1e-9));
  const double lash = w * std::sqrt(1 - std::pow(0.012 / 0.35, 0.4));
  CHECK(near(*f.at(TimingAtLift::From::lash).overlap_deg, lash - 106 + w - 106, 1e-6));
  CHECK(near(*f.at_lift(0.050 * inch).overlap_deg, 2 * (115 - 106), 1e-9));
  // The intake closes 106 + 140.2 - 180 = 66.2 deg ABDC at 0.006 in: slider-crank of r 38.25, l 150
  // mm, the piston 57.1 mm below the top, 76.5 / 11 mm of clearance height.
  REQUIRE(advertised.compression_ratio.has_value());
  const double turn = (106 + half) * pi / 180, r = 38.25, l = 150;
  const double below =
      r + l - r * std::cos(turn) - std::sqrt(l * l - std::pow(r * std::sin(turn), 2));
  CHECK(near(*advertised.compression_ratio, 1 + below / (76.5 / 11), 1e-9));
  CHECK(f.timing.size() == 4);  // seat, less lash, 0.006 in and 0.050 in, which the card has, too
}

TEST_CASE("the lift of a card stands in a row of its own") {
  const EngineFigures f = engine_figures(
      read_case_text(replaced(sample_text(), "duration = \"256 deg\"",
                              "duration = \"253 deg\"\nchecking_lift = \"0.053 in\""),
                     "card.toml"));
  const TimingAtLift& card = f.at_lift(0.053 * inch);
  REQUIRE(card.exhaust.has_value());
  CHECK(near(card.exhaust->closes_deg - card.exhaust->opens_deg, 253, 1e-9));
  REQUIRE(card.intake.has_value());
  CHECK(card.intake->closes_deg - card.intake->opens_deg < 252);  // which it has at 0.050 in
}

TEST_CASE("areas of valves and ports") {
  const EngineFigures f = engine_figures(sample());
  CHECK(near(f.exhaust.seat_area, pi / 4 * 0.039 * 0.039, 1e-12, 0));
  CHECK(near(f.exhaust.curtain_area, pi * 0.039 * 0.014, 1e-6, 0));
  CHECK(near(f.exhaust.port_area, pi / 4 * 0.040 * 0.040, 1e-12, 0));
  CHECK(near(f.intake.port_area, pi / 4 * 0.050 * 0.050, 1e-12, 0));
  // 207 cfm at 28 inH2O: sqrt(2 dp / rho) = 107.6 m/s, of which compressible air has 4 % less.
  CHECK(near(f.exhaust.flow_area, 207 * 0.0283168 / 60 / 107.6, 0.05, 0));
  const CaseFile four = read_case_text(
      replaced(sample_text(), "seat_diameter = \"39 mm\"", "seat_diameter = \"39 mm\"\ncount = 2"),
      "four.toml");
  CHECK(near(engine_figures(four).exhaust.seat_area, pi / 2 * 0.039 * 0.039, 1e-12, 0));
}

TEST_CASE("a header by the hand rules, and its collector against its tubes") {
  const CaseFile c = sample();
  const HeaderFigures equal = header_figures(c, c.headers[0]);
  REQUIRE(equal.collector_over_tube.has_value());
  // Areas of 16-gauge tube, vendor tables: 8.91969 and 2.39156 in2.
  CHECK(near(*equal.collector_over_tube, 8.91969 / 2.39156, 1e-5, 0));
  CHECK(near(*equal.collector_over_tubes, 8.91969 / 2.39156 / 4, 1e-5, 0));
  CHECK(equal.tubes == 4);
  REQUIRE(equal.rules.has_value());
  CHECK(near(60 * equal.rules->torque_peak, 88200 * 2.39156 / 38.146, 1e-4, 0));
  // 32 in and the port of 75 mm; the valve opens 82 deg BBDC.
  CHECK(near(equal.rules->longest, 32 * inch + 0.075, 1e-12, 0));
  CHECK(near(60 * equal.rules->longest_speed, 850 * 262 / (32 + 75 / 25.4 + 3), 1e-9, 0));
  const HeaderFigures stepped = header_figures(c, c.headers[1]);
  REQUIRE(stepped.rules.has_value());
  CHECK(near(stepped.rules->shortest, 28 * inch + 0.075, 1e-12, 0));
  CHECK(near(stepped.rules->longest, 34 * inch + 0.075, 1e-12, 0));
  CHECK(stepped.rules->shortest_speed > stepped.rules->longest_speed);
}

TEST_CASE("the length of a 4-2-1 header goes to the collector, which secondaries enter") {
  const CaseFile c = read_case_file(shipped_folder() / "hillclimb-v8.toml");
  const HeaderFigures f = header_figures(c, find_header(c, "4-2-1"));
  REQUIRE(f.rules.has_value());
  CHECK(near(f.rules->longest, (18 + 16) * inch + 0.075, 1e-12, 0));
  CHECK(f.tubes == 2);
  REQUIRE(f.collector_over_tube.has_value());
  CHECK(near(*f.collector_over_tube, 8.91969 / 3.52989, 1e-5, 0));
}

TEST_CASE("a header without a collector, and a case without an engine") {
  const CaseFile c = read_case_file(shipped_folder() / "single-cylinder.toml");
  CHECK(!header_figures(c, c.headers.front()).collector_over_tube.has_value());
  const CaseFile pipes = read_case_text(pulsewright::tests::sample_pipes(), "pipes.toml");
  CHECK(!header_figures(pipes, pipes.headers.front()).rules.has_value());
}
