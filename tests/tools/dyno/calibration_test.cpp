// Synthetic pulls: what the program computes with other knobs, each pull off by a seeded share of
// its own and with seeded noise, comes back as these knobs within the errors that are stated. One
// cylinder, few speeds, coarse cells.
#include "tools/dyno/calibration.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <fstream>
#include <random>
#include <sstream>

#include "tests/near.hpp"
#include "tools/dyno/dyno_curves.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using pulsewright::tests::near;

namespace {

constexpr double cells = 0.025;   // m
constexpr double noise = 0.003;   // relative, of each sample
constexpr double offset = 0.005;  // relative, of a pull at all its speeds

std::string single_cylinder() {
  std::ifstream in(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  std::ostringstream text;
  text << in.rdbuf();
  return text.str() +
         "\n[[dyno]]\nheader = \"0.8 m\"\ncorrection = \"sae-j1349\"\n"
         "columns = { speed = \"RPM\", torque = \"TQ\" }\npull = [{ file = \"none.csv\" }]\n";
}

const std::vector<double>& speeds() {
  static const std::vector<double> list{50, 60, 70, 80, 90, 100, 110};  // rev/s
  return list;
}

// Three pulls of the engine with these values of the knobs.
MeasuredHeader synthetic(const std::vector<cases::Override>& truth, unsigned seed) {
  const auto engine =
      cases::read_case_text(single_cylinder(), "a.toml", cases::MessageUnits::metric, truth);
  const auto prediction = simulated_prediction(engine, speeds(), cells, 2, {}, {});
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  MeasuredHeader out;
  out.header = "0.8 m";
  out.pulls = 3;
  for (const std::string key : {"torque", "air_flow"}) {
    std::vector<models::PullSamples> pulls(3);
    for (auto& pull : pulls) {
      const double level = 1 + offset * normal(random);
      for (const PredictedPoint& p : prediction.at("0.8 m")) {
        REQUIRE(p.fault.empty());
        pull.speed.push_back(p.speed);
        pull.value.push_back(p.value.at(key) * (level + noise * normal(random)));
      }
    }
    out.channels[key] = models::mean_of_pulls(pulls, speeds(), 10);
  }
  return out;
}

CalibrationOptions options(const std::vector<std::string>& names) {
  CalibrationOptions out;
  out.knobs = chosen_knobs(names);
  out.speeds = speeds();
  out.cell_size = cells;
  out.jobs = 2;
  return out;
}

}  // namespace

TEST_SUITE("long") {
  TEST_CASE("calibration: synthetic pulls come back to their knobs") {
    const auto case_file = cases::read_case_text(single_cylinder(), "a.toml");
    const std::vector<std::string> names{"intake-flow", "efficiency", "friction"};
    const std::vector<double> truth{1.06, 0.88, 0.55};
    std::vector<cases::Override> changes;
    const auto list = chosen_knobs(names);
    for (std::size_t k = 0; k < list.size(); ++k) changes.push_back(with_knob(list[k], truth[k]));
    const std::vector<MeasuredHeader> measured{synthetic(changes, 11)};
    auto chosen = options(names);
    chosen.held_out = {70, 100};
    const Calibration c = calibrate(case_file, measured, chosen);
    CHECK(c.converged);
    REQUIRE(c.knobs.size() == 3);
    for (std::size_t k = 0; k < 3; ++k) {
      CAPTURE(names[k]);
      CAPTURE(c.knobs[k].value);
      CAPTURE(c.knobs[k].error);
      // 99 % of a normal distribution lie within 2.58 standard errors.
      CHECK(std::abs(c.knobs[k].value - truth[k]) < 2.58 * c.knobs[k].error);
      CHECK(!c.knobs[k].at_bound);
    }
    // Flow is told by the meter, to less than half of what was expected of it.
    CHECK(c.knobs[0].told());
    // Heat and friction raise and lower the same torque.
    CHECK(c.correlation(1, 2) > 0.5);
    // The levels of the pulls are no knobs.
    CHECK(c.correlation.rows() == 3);
    // The speeds that the fit did not see are met as well as the pulls allow.
    const double scatter = std::hypot(noise, offset);
    CHECK(c.deviation(&CalibratedPoint::before, true) > 0.02);
    CHECK(c.deviation(&CalibratedPoint::after, true) < 2 * scatter);
    CHECK(c.deviation(&CalibratedPoint::after, false) < 2 * scatter);
    std::size_t held = 0;
    for (const CalibratedPoint& p : c.points) held += p.held_out ? 1 : 0;
    CHECK(held == 2);

    // The calibrated case is the same file with the knobs in it.
    const std::string text = calibrated_case(case_file, measured, c);
    const auto again = cases::read_case_text(text, "b.toml");
    CHECK(again.calibrated == "to 3 pulls of 0.8 m");
    for (const CalibratedKnob& knob : c.knobs) {
      CHECK(near(knob_value(again, knob.knob), knob.value, 1e-4, 0));
    }
    CHECK(text.find("# An invented half-litre research engine") == 0);
  }

  TEST_CASE("calibration: what torque alone cannot tell is said, and a knob at its end is named") {
    const auto case_file = cases::read_case_text(single_cylinder(), "a.toml");
    // 15 % less torque than any efficiency of the range gives, without the meter of air.
    MeasuredHeader low = synthetic({{"combustion.efficiency", "0.8"}}, 5);
    low.channels.erase("air_flow");
    for (double& value : low.channels["torque"].value) value *= 0.85;
    auto chosen = options({"efficiency", "burn-duration"});
    const Calibration c = calibrate(case_file, {low}, chosen);
    CHECK(c.knobs[0].at_bound);
    CHECK(near(c.knobs[0].value, 0.8, 0.01, 0));
    CHECK(c.scale > 3);  // the residuals are not those of the pulls
  }

}  // TEST_SUITE("long")

TEST_CASE("calibration: what cannot be fitted is refused") {
  const auto case_file = cases::read_case_text(single_cylinder(), "a.toml");
  MeasuredHeader few = synthetic({}, 3);
  few.channels.erase("air_flow");
  auto chosen = options({});
  chosen.held_out = {50, 60, 70, 80};  // three speeds left for six knobs
  CHECK_THROWS_AS(calibrate(case_file, {few}, chosen), std::invalid_argument);
  chosen.held_out = {55};
  CHECK_THROWS_AS(calibrate(case_file, {few}, chosen), std::invalid_argument);
  chosen.held_out = {};
  chosen.headers = {"1.2 m"};
  CHECK_THROWS_AS(calibrate(case_file, {few}, chosen), std::invalid_argument);
  // A table that is written in dotted keys takes no new one: refused before anything is simulated.
  chosen.headers = {};
  bool simulated = false;
  chosen.keep_going = [&] {
    simulated = true;
    return false;
  };
  const auto dotted =
      cases::read_case_text("friction.per_speed = \"0.1 bar s/m\"\n" + single_cylinder(), "a.toml");
  CHECK_THROWS_WITH_AS(calibrate(dotted, {few}, chosen),
                       doctest::Contains("write that table as [friction]"), std::invalid_argument);
  CHECK(!simulated);
  CHECK_THROWS_AS(chosen_knobs({"friktion"}), std::invalid_argument);
  CHECK_THROWS_AS(chosen_knobs({"friction", "friction"}), std::invalid_argument);
}
