// The split of a difference, on torques made up as a function of the parts: what each makes is
// known in closed form.
#include "tools/study/difference_split.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <filesystem>
#include <functional>
#include <set>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "tests/near.hpp"
#include "tests/results/scratch_folder.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_store.hpp"
#include "tools/study/comparison.hpp"

namespace pulsewright::tests {

using namespace tools;
using cases::HeaderPart;
using cases::HeaderParts;

namespace {

// Torque of a design over its parts that come from the second header, N m.
using Torque = std::function<double(HeaderParts)>;

// The demo with a 4-2-1 header that differs from equal-length in every part, one that differs in
// the length alone, and a network.
cases::CaseFile case_file() {
  auto c = cases::read_case_file(std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) / "cases" /
                                 "hillclimb-v8.toml");
  std::string text = c.text;
  const auto replace = [&](const std::string& from, const std::string& to) {
    const auto at = text.find(from, text.find("name = \"4-2-1\""));
    REQUIRE(at != std::string::npos);
    text.replace(at, from.size(), to);
  };
  replace("1-7/8 in OD", "1-3/4 in OD");
  replace("collector_length = \"16 in\"", "collector_length = \"18 in\"");
  const auto start = text.find("[[header]]");
  std::string longer = text.substr(start, text.find("# The 180-degree") - start);
  longer.replace(longer.find("\"equal-length\""), 14, "\"longer\"");
  longer.replace(longer.find("\"32 in\""), 7, "\"38 in\"");
  return cases::read_case_text(text.insert(start, longer), "invented.toml");
}

// Which headers, and the order of the first two.
struct Setup {
  std::vector<std::string> headers{"equal-length", "4-2-1"};
  bool with_companions = true;
  std::string loose;  // run whose point at the second speed does not repeat, by its variant
};

// A results file of all runs that such a study has, with torques as given: by the parts that come
// from the header `second`, and 0.7 N m more for it on the production grid.
Comparison compared(const Setup& setup, const Torque& torque, const std::string& second = "4-2-1") {
  const ScratchFolder folder;
  const cases::CaseFile c = case_file();
  StudyOptions options;
  options.headers = setup.headers;
  options.speeds = {75, 90, 100, 110};
  options.band = {75, 110};
  options.quick = true;
  const auto design = [&](std::size_t i) -> const cases::HeaderDesign& {
    return cases::find_header(c, setup.headers[i]);
  };
  if (setup.with_companions) {
    options.companions = companions_of(c, design(0), 0, design(1), 1);
  }
  const Study study(c, options);
  const auto path = folder.file("some.h5");
  const auto store = ResultsStore::create(path, study.plan());
  const HeaderParts all = cases::differing_parts(design(0), design(1));
  for (std::size_t run = 0; run < study.plan().headers.size(); ++run) {
    const HeaderPlan& plan = study.plan().headers[run];
    const bool is_second = plan.name == second;
    const HeaderParts parts = is_second ? all & ~plan.variant.parts : plan.variant.parts;
    for (std::size_t s = 0; s < options.speeds.size(); ++s) {
      models::PointResult point = empty_point(plan);
      finish_point(point);
      point.speed = options.speeds[s];
      point.converged = true;
      point.torque = 500 + torque(parts);
      if (is_second && plan.variant == production_grid) point.torque += 0.7;
      if (!setup.loose.empty() && s == 1 && run_group_name(plan).ends_with(setup.loose)) {
        point.torque += 1000;
        point.converged = false;
      }
      store->write(run, s, point, 1);
    }
  }
  return compare_headers(StudyResults(ResultsReader(path), ResultsReader::Detail::figures));
}

double share(const DifferenceSplit& split, HeaderPart part) {
  const auto at = std::find_if(split.shares.begin(), split.shares.end(),
                               [&](const PartShare& one) { return one.part == part; });
  REQUIRE(at != split.shares.end());
  return at->torque;
}

double sum(const DifferenceSplit& split) {
  double total = split.rest;
  for (const PartShare& one : split.shares) total += one.torque;
  return total;
}

// 9 for the length, 2 for the tube, -1 for collector and tail, 5 for the kind; 4 more where length
// and kind come together, -6 where tube and collector do.
double invented(HeaderParts parts) {
  const auto has = [&](HeaderPart part) { return cases::has_part(parts, part) ? 1.0 : 0.0; };
  return 9 * has(HeaderPart::length) + 2 * has(HeaderPart::tube) - has(HeaderPart::collector) +
         5 * has(HeaderPart::kind) + 4 * has(HeaderPart::length) * has(HeaderPart::kind) -
         6 * has(HeaderPart::tube) * has(HeaderPart::collector);
}

}  // namespace

TEST_CASE("the shares add up to the difference, and share the interaction of two parts") {
  const Comparison c = compared({}, invented);
  const auto pair = c.between(1, 0);
  REQUIRE(pair.split.has_value());
  const DifferenceSplit& split = *pair.split;
  REQUIRE(split.shares.size() == 4);
  // Half of what two parts do together belongs to each: Shapley (1953).
  CHECK(near(share(split, HeaderPart::length), 11, 1e-12));
  CHECK(near(share(split, HeaderPart::tube), -1, 1e-12));
  CHECK(near(share(split, HeaderPart::collector), -4, 1e-12));
  CHECK(near(share(split, HeaderPart::kind), 7, 1e-12));
  CHECK(near(split.rest, 0.7, 0, 1e-11));  // of the production grid
  CHECK(near(sum(split), pair.torque.value, 1e-13));
  CHECK(near(pair.torque.value, 13.7, 1e-12));
  // Between what the length does alone and with the kind.
  CHECK(near(split.shares[0].low(), 9, 1e-12));
  CHECK(near(split.shares[0].high(), 13, 1e-12));
  REQUIRE(split.speeds.size() == 4);
  CHECK(split.speeds[2].speed == 100);
  CHECK(near(split.speeds[2].torque[3], 7, 1e-12));
}

TEST_CASE("when two headers change places, the shares change their signs and nothing else") {
  const Comparison one = compared({}, invented);
  Setup exchanged;
  exchanged.headers = {"4-2-1", "equal-length"};
  const Comparison other = compared(exchanged, invented);
  const DifferenceSplit split = *one.between(1, 0).split;
  for (const DifferenceSplit& reversed : {*one.between(0, 1).split, *other.between(1, 0).split}) {
    REQUIRE(reversed.shares.size() == split.shares.size());
    for (std::size_t i = 0; i < split.shares.size(); ++i) {
      CHECK(reversed.shares[i].part == split.shares[i].part);
      CHECK(near(reversed.shares[i].torque, -split.shares[i].torque, 1e-12));
      CHECK(near(reversed.shares[i].low(), -split.shares[i].high(), 1e-12));
      CHECK(near(reversed.shares[i].high(), -split.shares[i].low(), 1e-12));
      CHECK(near(reversed.speeds[1].torque[i], -split.speeds[1].torque[i], 1e-12));
    }
    CHECK(near(reversed.rest, -split.rest, 0, 1e-11));
  }
  // The designs are the same ones, whichever comes first.
  const cases::CaseFile c = case_file();
  const auto& a = cases::find_header(c, "equal-length");
  const auto& b = cases::find_header(c, "4-2-1");
  const auto names = [](const std::vector<Companion>& companions) {
    std::set<std::string> found;
    for (const auto& one_of : companions) {
      found.insert(one_of.header + std::to_string(one_of.parts) + one_of.source);
    }
    return found;
  };
  CHECK(names(companions_of(c, a, 0, b, 1)) == names(companions_of(c, b, 1, a, 0)));
  CHECK(companions_of(c, a, 0, b, 1).size() == 6);  // three between the two in each order
}

TEST_CASE("headers that differ in length alone owe all to it, without another run") {
  Setup setup;
  setup.headers = {"equal-length", "longer"};
  const Comparison c = compared(
      setup, [](HeaderParts parts) { return parts == 0 ? 0.0 : 6.0; }, "longer");
  const auto pair = c.between(1, 0);
  REQUIRE(pair.split->shares.size() == 1);
  CHECK(pair.split->shares[0].part == HeaderPart::length);
  CHECK(pair.split->shares[0].torque == pair.torque.value);
  CHECK(near(pair.torque.value, 6.7, 1e-12));
  CHECK(pair.split->rest == 0);
  const cases::CaseFile file = case_file();
  CHECK(companions_of(file, cases::find_header(file, "equal-length"), 0,
                      cases::find_header(file, "longer"), 1)
            .empty());
}

TEST_CASE("a part that does nothing has a share of 0, exactly") {
  const Comparison c = compared(
      {}, [](HeaderParts parts) { return cases::has_part(parts, HeaderPart::length) ? 8.0 : 0.0; });
  const DifferenceSplit split = *c.between(1, 0).split;
  CHECK(share(split, HeaderPart::kind) == 0);
  CHECK(share(split, HeaderPart::tube) == 0);
  CHECK(near(share(split, HeaderPart::length), 8, 1e-12));
}

TEST_CASE("a design that does not repeat at a speed takes that speed out, of all shares") {
  Setup setup;
  setup.loose = "/variants/length-of-1";
  const Comparison c = compared(setup, invented);
  const DifferenceSplit split = *c.between(1, 0).split;
  CHECK(split.speeds.size() == 3);
  CHECK(near(share(split, HeaderPart::length), 11, 1e-12));
  CHECK(near(sum(split), c.between(1, 0).torque.value, 1e-13));
}

TEST_CASE("without the runs there are no shares, and the reason is given") {
  Setup setup;
  setup.with_companions = false;
  const DifferenceSplit split = *compared(setup, invented).between(1, 0).split;
  CHECK(split.shares.empty());
  CHECK(split.not_run);
  CHECK(split.obstacle == "the runs that split it were not made");
}

TEST_CASE("companions come back from the plan, and a study leaves out what it does not compare") {
  const cases::CaseFile c = case_file();
  const auto& a = cases::find_header(c, "equal-length");
  const auto& b = cases::find_header(c, "4-2-1");
  StudyOptions options;
  options.headers = {"equal-length", "4-2-1"};
  options.quick = true;
  options.companions = companions_of(c, a, 0, b, 1);
  const Study study(c, options);
  auto back = companions_in(study.plan());
  CHECK(back.size() == options.companions.size());
  for (const Companion& one : options.companions) {
    CHECK(std::find(back.begin(), back.end(), one) != back.end());
  }
  CHECK(study.variants(0).size() == 5);  // production, coarse and three of the six
  CHECK(study.variants(1).size() == 5);
  options.headers = {"equal-length", "180-degree"};
  CHECK(companions_in(Study(c, options).plan()).empty());
  // Mixed headers are run at their own speeds, all others at every speed.
  options.headers = {"equal-length", "4-2-1"};
  options.speeds = {80, 90, 100};
  options.companion_speeds = {90};
  const Study some(c, options);
  const std::vector<bool> expected{false, true, false};
  for (std::size_t s = 0; s < 3; ++s) {
    CHECK(some.has_run(0, s, 4) == expected[s]);
    CHECK(some.has_run(0, s, 1));
  }
}

}  // namespace pulsewright::tests
