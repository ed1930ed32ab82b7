// The arithmetic of tolerances on hand-worked numbers, and build errors by seed.
#include "tools/search/tolerance.hpp"

#include <atomic>
#include <cmath>
#include <doctest/doctest.h>
#include <optional>
#include <string>
#include <vector>

#include "cases/design_variable.hpp"
#include "tests/near.hpp"
#include "tests/tools/search/invented_trials.hpp"
#include "tests/tools/search/search_case.hpp"
#include "tools/search/aims.hpp"
#include "tools/search/tolerance_text.hpp"

using namespace pulsewright;
using pulsewright::tests::near;

TEST_CASE("the linear spread adds the squares of the slopes") {
  // Slopes of 3 and 4 N m per half inch, errors uniform in +-1/4 in: 5 N m times 1/2 / sqrt(3).
  CHECK(near(tools::linear_spread({3, 4}, 0.00635), 2.5 / std::sqrt(3.0), 1e-12, 0));
  CHECK(tools::linear_spread({}, 0.00635) == 0);
  // 1, -1, 3, -3 about 0: root of (1 + 1 + 9 + 9) / 4.
  CHECK(near(tools::spread_about({1, -1, 3, -3}, 0), std::sqrt(5.0), 1e-12, 0));
}

TEST_CASE("aims of a hand-worked curve") {
  const std::vector<double> speeds{50, 60, 70, 80, 90};
  const std::vector<double> torques{100, 120, 110, 130, 90};
  const tools::Aims aims = tools::aims_of(speeds, torques, {50, 90}, 65);
  // Trapezoids: (50 + 120 + 110 + 130 + 45) / 4.
  CHECK(near(aims.mean, 113.75, 1e-12, 0));
  CHECK(near(aims.dip, 10, 1e-12, 0));  // 110 below 120 and 130
  CHECK(near(aims.top, 90, 1e-12, 0));
  CHECK(near(aims.shift, 115, 1e-12, 0));  // half way from 120 to 110
  cases::AimWeights weights;
  weights.mean = 1;
  weights.dip = 0.5;
  weights.top = 2;
  weights.shift = 1;
  CHECK(near(tools::score_of(aims, weights), 113.75 - 5 + 180 + 115, 1e-12, 0));
}

TEST_CASE(
    "the points that the aims are made of are those with a weight and those round the shift") {
  const std::vector<double> speeds{50, 60, 70, 80, 90};
  // Of a band from 60 to 75 the speeds to 80; none round a shift point at 85 but 80 and 90.
  const auto trial_without = [&](std::size_t speed) {
    tools::Trial trial = tools::missing_trial({}, speeds.size());
    trial.torque = {1, 1, 1, 1, 1};
    trial.faults.assign(speeds.size(), std::nullopt);
    trial.faults[speed] = tools::PointFault::not_repeating;
    return trial;
  };
  const std::vector<bool> counts{true, false, false, false, true};
  const std::vector<bool> with_shift{true, false, false, false, false};
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    CAPTURE(s);
    tools::Trial trial = trial_without(s);
    CHECK(tools::counts_in(speeds, trial, {60, 75}) == counts[s]);
    CHECK(tools::counts_in(speeds, trial, {60, 75}, 85) == with_shift[s]);
    CHECK(tools::has_figures_in(speeds, trial, {60, 75}));
    trial.torque[s] = std::nan("");
    CHECK(tools::has_figures_in(speeds, trial, {60, 75}) == counts[s]);
    CHECK(tools::has_figures_in(speeds, trial, {60, 75}, 85) == with_shift[s]);
  }
  // At a speed of the list, and beyond them, that speed.
  CHECK(tools::counts_in(speeds, trial_without(4), {60, 70}, 80));
  CHECK_FALSE(tools::counts_in(speeds, trial_without(4), {60, 70}, 95));
}

TEST_CASE("what is not known is not told of as harmless") {
  const cases::CaseFile case_file = tests::search_case();
  tools::SearchOptions options;
  options.verb = "tolerance";
  options.speeds = {50, 100};
  options.band = {50, 100};
  options.variables = cases::all_variables(case_file.headers.front());
  const tools::SearchTask task(case_file, options);
  const auto found_with = [&](double failing_length) {
    tests::InventedTrials source(
        task, [&](const cases::HeaderDesign& design, double speed, tools::DesignPoint& point) {
          const double length = tests::length_of(design);
          point.torque = 100 + length;
          if (length > failing_length && speed > 75) point.fault = tools::PointFault::not_repeating;
        });
    std::atomic<bool> stop{false};
    tools::SearchRecord start;
    start.plan = task.plan();
    tools::TrialHistory history(start, source, "", stop);
    return tools::tolerance_of(task, 2, history);
  };
  const auto words = [&](const tools::Tolerance& found) {
    return tools::tolerance_json(task, found)["words"]["metric"].get<std::string>();
  };
  const tools::Tolerance all = found_with(1);
  CHECK(all.known());
  CHECK(words(all).find("Not known") == std::string::npos);
  // 0.0127 N m per half inch.
  CHECK(words(all).find("at any speed of the band: primary length 1.") != std::string::npos);

  const tools::Tolerance some = found_with(0.81);  // of the header's 0.8 m and 1/2 in more
  CHECK_FALSE(some.known());
  CHECK(words(some).find("Not known for primary length 1:") != std::string::npos);
  CHECK(words(some).find("at any speed of the band") == std::string::npos);
  CHECK(words(some).find("no single length") == std::string::npos);
  REQUIRE(some.spread);
  CHECK(std::isnan(some.spread->band_linear));
  CHECK(std::isfinite(some.spread->band_sampled));
  CHECK(tools::tolerance_text(task, some, tools::UnitSystem::metric).find("nan") ==
        std::string::npos);
  CHECK(tools::tolerance_json(task, some)["spread"]["band_linear"].is_null());

  const tools::Tolerance none = found_with(0);
  CHECK_FALSE(none.known());
  CHECK(tools::tolerance_text(task, none, tools::UnitSystem::metric).find("nan") ==
        std::string::npos);
}

TEST_CASE("build errors come by seed, in opposite pairs, and of the stated size") {
  const cases::CaseFile case_file = tests::search_case();
  tools::SearchSpace space;
  space.reference = case_file.headers.front();
  space.build_tolerance = 0.006;
  space.seed = 3;
  for (const auto kind : {tools::BuildErrors::two_valued, tools::BuildErrors::uniform}) {
    space.errors = kind;
    double squares = 0;
    constexpr int pairs = 2000;
    for (int pair = 1; pair <= pairs; ++pair) {
      const auto one = tools::build_errors(space, 2 * pair - 1);
      const auto other = tools::build_errors(space, 2 * pair);
      REQUIRE(one.size() == 4);
      for (std::size_t i = 0; i < one.size(); ++i) {
        CHECK(one[i] == -other[i]);
        CHECK(std::abs(one[i]) <= space.build_tolerance);
        squares += one[i] * one[i];
      }
    }
    // The variance of a uniform error is t^2 / 3; that of 8000 of them is within 5 % of it at four
    // standard deviations (the kurtosis of the uniform distribution is 9/5).
    CHECK(near(squares / (4 * pairs), 0.006 * 0.006 / 3, 0.05, 0));
  }
  const auto before = tools::build_errors(space, 1);
  CHECK(tools::build_errors(space, 1) == before);
  space.seed = 4;
  CHECK(tools::build_errors(space, 1) != before);
}

TEST_CASE("what a half inch of the tube is worth agrees with designs computed one by one") {
  const cases::CaseFile case_file = tests::search_case();
  tools::SearchOptions options;
  options.verb = "tolerance";
  options.speeds = {50, 100};
  options.cell_size = tests::search_cells;
  options.tolerance = 1e-4;
  options.errors = tools::BuildErrors::uniform;
  options.variables = cases::all_variables(case_file.headers.front());
  const tools::SearchTask task(case_file, options);
  tools::DesignEvaluator evaluator = task.evaluator(1);
  tools::LocalTrials source(task.space(), evaluator);
  std::atomic<bool> stop{false};
  tools::SearchRecord start;
  start.plan = task.plan();
  tools::TrialHistory history(start, source, "", stop);
  const tools::Tolerance found = tools::tolerance_of(task, 4, history);
  REQUIRE(found.dimensions.size() == 2);  // length and size of the tube
  CHECK(found.dimensions[0].largest >= found.dimensions[1].largest);
  const auto& length =
      found.dimensions[task.space().variables[found.dimensions[0].variable].is_length() ? 0 : 1];
  std::vector<double> torque(2);
  const auto& reference = case_file.headers.front();
  const double here = reference.primary_length.begin()->second;
  evaluator.evaluate(
      {tests::with_length(case_file, here + 0.0127), tests::with_length(case_file, here - 0.0127)},
      {}, [&](const tools::DesignPoint& point) {
        if (point.speed == 1) torque[point.design] = point.torque;
      });
  CHECK(near(length.up[1], 0.5 * (torque[0] - torque[1]), 1e-9, 1e-9));
  REQUIRE(found.spread);
  CHECK(found.spread->samples == 4);
  CHECK(found.spread->sampled.size() == 2);
  CHECK(near(found.spread->linear[1],
             tools::linear_spread({length.up[1]}, case_file.build_tolerance), 1e-12, 0));
}
