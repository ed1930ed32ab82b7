// What is told of a tune whose designs may make no header, or have no score.
#include "tools/search/tune_text.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>

#include "cases/design_variable.hpp"
#include "tests/tools/search/search_case.hpp"
#include "tools/search/value_text.hpp"

using namespace pulsewright;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

tools::Candidate candidate(double value, double score) {
  tools::Candidate one;
  one.values = {value};
  one.score = one.aims.mean = score;
  one.scored = one.counts = true;
  return one;
}

// The single cylinder with a step to the next larger size, which its tube then cannot have.
cases::CaseFile stepped_case() {
  cases::CaseFile case_file =
      tests::search_case("[tune]\n[[tune.vary]]\npart = \"primary_tube\"\n");
  cases::Primary& primary = case_file.headers.front().primaries.at(1);
  cases::TubeStep step;
  step.at = 0.3;
  step.tube = cases::neighbouring_tubes(primary.tube)[3];
  primary.steps = {step};
  return case_file;
}

tools::SearchTask stepped_task(const cases::CaseFile& case_file) {
  tools::SearchOptions options;
  options.verb = "tune";
  options.variables = case_file.tune.variables;
  return tools::SearchTask(case_file, options);
}

}  // namespace

TEST_CASE("a design that makes no header is told of as it was asked for") {
  const cases::CaseFile case_file = stepped_case();
  const tools::SearchTask task = stepped_task(case_file);
  REQUIRE_THROWS_AS(task.space().drawn({3}), std::invalid_argument);
  tools::Trial drawn = tools::missing_trial({{2}, 0}, task.speeds().size());
  tools::TuneAims aims;
  aims.weights.mean = 1;
  tools::TuneResult result;
  result.start = candidate(2, 100);
  result.best = candidate(1, 110);
  result.start_drawn = result.best_drawn = &drawn;
  tools::Candidate none;
  none.values = {3};
  result.history = {result.start, none, *result.best};
  const std::string size = tools::value_text(task.space().reference, task.space().variables[0], 3,
                                             tools::UnitSystem::metric);
  const std::string csv = tools::tune_csv(task, result, tools::UnitSystem::metric);
  CHECK(has(csv, size));
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 4);  // with the names
  CHECK(has(tools::tune_text(task, aims, result, tools::UnitSystem::metric),
            "10.0 N m above the start"));

  const auto json = tools::tune_json(task, aims, result);
  CHECK(json["designs"]["start"]["different_lengths"] == 1);
  REQUIRE(json["history"].size() == 3);
  CHECK(json["history"][1]["score"].is_null());
  CHECK(json["history"][1]["counts"] == false);
  CHECK(json["history"][2]["score"] == 110);
  CHECK(json["history"][2]["counts"] == true);
  CHECK(json["history"][2]["within_limits"] == true);
}

TEST_CASE("a best is not held against a start that has no score") {
  const cases::CaseFile case_file = stepped_case();
  const tools::SearchTask task = stepped_task(case_file);
  tools::Trial drawn = tools::missing_trial({{2}, 0}, task.speeds().size());
  tools::TuneAims aims;
  aims.weights.mean = 1;
  tools::TuneResult result;
  result.start.values = {3};  // no header either
  result.best = candidate(1, 110);
  result.start_drawn = result.best_drawn = &drawn;
  result.history = {result.start, *result.best};
  const std::string text = tools::tune_text(task, aims, result, tools::UnitSystem::metric);
  CHECK(has(text, "The start has no score."));
  CHECK_FALSE(has(text, "above the start"));
  const auto json = tools::tune_json(task, aims, result);
  CHECK_FALSE(json["designs"]["start"].contains("different_lengths"));
  CHECK(json["designs"]["best"].contains("different_lengths"));

  result.start = candidate(2, 120);
  CHECK(has(tools::tune_text(task, aims, result, tools::UnitSystem::metric),
            "10.0 N m below the start"));
}
