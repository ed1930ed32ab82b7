// Designs at the speeds of a search: the same bits whatever is computed beside them.
#include "tools/search/design_evaluator.hpp"

#include <doctest/doctest.h>
#include <map>
#include <numbers>
#include <stdexcept>
#include <utility>
#include <vector>

#include "tests/near.hpp"
#include "tests/tools/search/search_case.hpp"

using namespace pulsewright;
using pulsewright::tests::near;

namespace {

using Figures = std::map<std::pair<std::size_t, std::size_t>, std::pair<double, double>>;

Figures figures_of(tools::DesignEvaluator& evaluator,
                   const std::vector<cases::HeaderDesign>& designs) {
  Figures figures;
  const bool complete = evaluator.evaluate(designs, {}, [&](const tools::DesignPoint& point) {
    REQUIRE(point.failure == "");
    figures[{point.design, point.speed}] = {point.torque, point.power};
  });
  REQUIRE(complete);
  return figures;
}

tools::EvaluatorOptions options(unsigned jobs) {
  return {.speeds = {50, 100}, .cell_size = tests::search_cells, .jobs = jobs};
}

}  // namespace

TEST_CASE("a design's figures do not depend on threads, order and neighbours") {
  const cases::CaseFile case_file = tests::search_case();
  const cases::HeaderDesign reference = case_file.headers.front();
  std::vector<cases::HeaderDesign> designs;
  for (const double length : {0.6, 0.7, 0.9, 1.0}) {
    designs.push_back(tests::with_length(case_file, length));
  }
  tools::DesignEvaluator one(case_file, reference, options(1));
  const Figures expected = figures_of(one, designs);
  REQUIRE(expected.size() == 8);
  tools::DesignEvaluator two(case_file, reference, options(2));
  CHECK(figures_of(two, designs) == expected);

  const Figures alone = figures_of(one, {designs[3]});
  CHECK(alone.at({0, 0}) == expected.at({3, 0}));
  CHECK(alone.at({0, 1}) == expected.at({3, 1}));
  tools::DesignEvaluator reversed(case_file, reference, options(1));
  const Figures backwards = figures_of(reversed, {designs[3], designs[2], designs[1], designs[0]});
  CHECK(backwards.at({0, 1}) == expected.at({3, 1}));
  CHECK(backwards.at({3, 0}) == expected.at({0, 0}));
}

TEST_CASE("a design that starts from the reference comes to what it comes to from rest") {
  const cases::CaseFile case_file = tests::search_case();
  const cases::HeaderDesign design = tests::with_length(case_file, 0.9);
  tools::DesignEvaluator evaluator(case_file, case_file.headers.front(), options(1));
  models::RunSettings settings = case_file.run.settings;
  settings.store_traces = false;
  models::PointSimulation from_rest(evaluator.engine(design), 100, settings);
  const double torque = from_rest.run().torque;
  // Cycles repeat to 0.1 % (RunSettings::tolerance), in either run, one of them accelerated.
  CHECK(near(figures_of(evaluator, {design}).at({0, 1}).first, torque, 3e-3, 0));
}

TEST_CASE("designs start from the nearest of the starts, whatever the threads") {
  const cases::CaseFile case_file = tests::search_case();
  const cases::HeaderDesign reference = case_file.headers.front();
  const std::vector<cases::HeaderDesign> designs{tests::with_length(case_file, 0.71),
                                                 tests::with_length(case_file, 0.99)};
  tools::DesignEvaluator without(case_file, reference, options(1));
  const Figures plain = figures_of(without, designs);
  std::vector<Figures> with;
  for (const unsigned jobs : {1U, 2U}) {
    tools::DesignEvaluator evaluator(case_file, reference, options(jobs));
    evaluator.add_start(tests::with_length(case_file, 0.7));
    evaluator.add_start(tests::with_length(case_file, -1));  // cannot be built: not added
    with.push_back(figures_of(evaluator, designs));
    // Another order of the calls, a start that was used before.
    CHECK(figures_of(evaluator, {designs[0]}).at({0, 1}) == with.back().at({0, 1}));
  }
  CHECK(with[0] == with[1]);
  for (const std::size_t speed : {0U, 1U}) {
    // Cycles repeat to 0.1 % (RunSettings::tolerance), from either start.
    CHECK(near(with[0].at({0, speed}).first, plain.at({0, speed}).first, 3e-3, 0));
    CHECK(with[0].at({0, speed}) != plain.at({0, speed}));
  }
  // The reference has tubes of 0.8 m, which is nearer to the second design.
  CHECK(with[0].at({1, 0}) == plain.at({1, 0}));
  CHECK(with[0].at({1, 1}) == plain.at({1, 1}));
}

TEST_CASE(
    "banks that no gas joins are computed by themselves, and a bank that is known is not again") {
  const std::string file = std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/hillclimb-v8.toml";
  const cases::CaseFile case_file = cases::read_case_file(file);
  const cases::HeaderDesign reference = cases::find_header(case_file, "equal-length");
  const tools::EvaluatorOptions coarse{
      .speeds = {100}, .cell_size = 0.12, .tolerance = 1e-6, .jobs = 1};
  cases::HeaderDesign left = reference;  // another length in the bank of cylinder 1
  left.primary_length.at(1) += 0.04;
  cases::HeaderDesign right = reference;  // and in the other one
  right.primary_length.at(2) -= 0.03;
  cases::HeaderDesign both = left;
  both.primary_length.at(2) = right.primary_length.at(2);
  tools::DesignEvaluator evaluator(case_file, reference, coarse);
  const Figures found = figures_of(evaluator, {reference, left, right});
  const auto torque = [&](std::size_t design) { return found.at({design, 0}).first; };
  // Power = 2 pi n torque.
  CHECK(near(found.at({1, 0}).second, 2 * std::numbers::pi * 100 * torque(1), 1e-12, 0));

  // Of `both` each bank is known: no cycle is computed, and it has the bits that it has alone.
  int calls = 0;  // once before the known points, then after every cycle
  const auto count = [&] {
    ++calls;
    return true;
  };
  double of_both = 0;
  CHECK(evaluator.evaluate({both}, count,
                           [&](const tools::DesignPoint& point) { of_both = point.torque; }));
  CHECK(calls == 1);
  tools::DesignEvaluator alone(case_file, reference, coarse);
  CHECK(figures_of(alone, {both}).at({0, 0}).first == of_both);
  // Sum of the banks: what one gains does not depend on the other. The banks of the reference are
  // one, half a cycle apart, and its cycles repeat to 1e-6 (1e-5 of 250 N m are left).
  CHECK(near(of_both - torque(0), torque(1) - torque(0) + torque(2) - torque(0), 0, 0.01));

  // Against the whole engine in one run: the banks then step as finely as the finer one asks.
  cases::CaseFile whole_case = case_file;
  whole_case.run.settings.same_parts = models::SameParts::each;
  tools::DesignEvaluator whole(whole_case, reference, coarse);
  const Figures of_whole = figures_of(whole, {reference, left, right});
  for (std::size_t d = 0; d < 3; ++d) {
    CAPTURE(d);
    CHECK(near(torque(d), of_whole.at({d, 0}).first, 3e-3, 0));
    CHECK(torque(d) != of_whole.at({d, 0}).first);
  }
}

TEST_CASE("the pipes of a design have as many cells as those of the reference") {
  const cases::CaseFile case_file = tests::search_case();
  const tools::DesignEvaluator evaluator(case_file, case_file.headers.front(), options(1));
  const auto reference = evaluator.engine(case_file.headers.front());
  const auto longer = evaluator.engine(tests::with_length(case_file, 1.013));
  REQUIRE(reference.pipes.size() == longer.pipes.size());
  for (std::size_t i = 0; i < reference.pipes.size(); ++i) {
    CHECK(reference.pipes[i].cells() == longer.pipes[i].cells());
  }
  CHECK(longer.pipes.front().length > reference.pipes.front().length);
}

TEST_CASE("a design that cannot be built fails, and the others are computed") {
  const cases::CaseFile case_file = tests::search_case();
  tools::DesignEvaluator evaluator(case_file, case_file.headers.front(), options(1));
  cases::HeaderDesign wrong = case_file.headers.front();
  wrong.primaries.begin()->second.tube.inside_diameter = 0.005;  // narrower than the valve needs
  wrong.primary_length.begin()->second = -1;
  std::vector<std::size_t> failed, done;
  const bool complete = evaluator.evaluate(
      {wrong, case_file.headers.front()}, {}, [&](const tools::DesignPoint& point) {
        (point.failure.empty() ? done : failed).push_back(point.design);
        CHECK(point.fault.has_value() == !point.failure.empty());
      });
  CHECK(complete);
  CHECK(failed == std::vector<std::size_t>{0, 0});
  CHECK(done == std::vector<std::size_t>{1, 1});
}

TEST_CASE("an evaluation that is stopped says so, and only selected points are computed") {
  const cases::CaseFile case_file = tests::search_case();
  tools::DesignEvaluator evaluator(case_file, case_file.headers.front(), options(1));
  std::size_t points = 0;
  const auto count = [&](const tools::DesignPoint&) { ++points; };
  CHECK_FALSE(evaluator.evaluate(
      {case_file.headers.front()}, [] { return false; }, count));
  CHECK(points == 0);
  CHECK(evaluator.evaluate({case_file.headers.front()}, {}, count,
                           [](std::size_t, std::size_t speed) { return speed == 1; }));
  CHECK(points == 1);
  CHECK_THROWS_AS(tools::DesignEvaluator(case_file, case_file.headers.front(), {}),
                  std::invalid_argument);
}
