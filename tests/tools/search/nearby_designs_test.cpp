// Designs beside one that was found, on hand-worked lengths: easier to build, beyond a limit.
#include "tools/search/nearby_designs.hpp"

#include <doctest/doctest.h>
#include <stdexcept>
#include <vector>

#include "tests/near.hpp"
#include "tests/tools/search/search_case.hpp"
#include "tools/search/value_text.hpp"

using namespace pulsewright;
using pulsewright::tests::near;

namespace {

using Values = std::vector<double>;

// One length, and what fits its tube.
tools::SearchSpace space_of(double from, double to, std::vector<cases::TubeFit> fits) {
  const cases::CaseFile case_file = tests::search_case();
  cases::DesignVariable length;
  length.cylinders = {1};
  length.from = from;
  length.to = to;
  tools::SearchSpace space;
  space.reference = case_file.headers.front();
  space.variables = {length};
  space.fits = std::move(fits);
  return space;
}

}  // namespace

TEST_CASE("easier is fewer different lengths, then fewer that are no whole half inches") {
  const tools::SearchSpace space = space_of(0.5, 1.5, {});
  const tools::Ease odd = tools::ease_of(space, {0.8});
  const tools::Ease whole = tools::ease_of(space, {60 * tools::half_inch});
  CHECK(odd.lengths == 1);
  CHECK(odd.odd == 1);
  CHECK(whole.odd == 0);
  CHECK(whole < odd);
  // What fits makes 0.9 m the 31 in that are drawn.
  const tools::SearchSpace fits = space_of(0.5, 1.5, {{{1}, 0.05, 62 * tools::half_inch}});
  CHECK(tools::ease_of(fits, {0.9, 0}).odd == 0);
}

TEST_CASE("easier designs have whole half inches, but within their range only") {
  // 0.8 m are 62.99 half inches and 31.5 in.
  const auto designs = tools::easier_designs(space_of(0.5, 1.5, {}), {0.8});
  REQUIRE(designs.size() == 2);
  CHECK(near(designs[0][0], 63 * tools::half_inch, 1e-12, 0));
  CHECK(near(designs[1][0], 62 * tools::half_inch, 1e-12, 0));  // 31.496 in
  // Between 803 and 806 mm there is none.
  for (const Values& values : tools::easier_designs(space_of(0.803, 0.806, {}), {0.804})) {
    CHECK(values == Values{0.804});
  }
}

TEST_CASE("a range that holds a design is left by half an inch") {
  const tools::SearchSpace space = space_of(0.5, 0.7, {});
  const auto above = tools::beyond_limits(space, {0.7});
  REQUIRE(above.size() == 1);
  CHECK(above[0].what == "primary length 1, largest");
  CHECK(near(above[0].values[0], 0.7127, 1e-12, 0));
  const auto below = tools::beyond_limits(space, {0.5});
  REQUIRE(below.size() == 1);
  CHECK(near(below[0].beyond, 0.4873, 1e-12, 0));
  CHECK(tools::beyond_limits(space, {0.6}).empty());
}

TEST_CASE("beyond what fits the tube itself is longer, too") {
  const tools::SearchSpace space = space_of(0.5, 1.2, {{{1}, 0.05, 0.9}});
  const auto beyond = tools::beyond_limits(space, {0.9, 0});
  REQUIRE(beyond.size() == 1);
  CHECK(beyond[0].what == "what fits cylinder 1, longest");
  CHECK(near(beyond[0].beyond, 0.9127, 1e-12, 0));
  CHECK(near(space.drawn(beyond[0].values).primary_length.at(1), 0.9127, 1e-12, 0));
  CHECK_FALSE(tools::within_limits(space, beyond[0].values));
  // Not beyond its own range.
  const tools::SearchSpace narrow = space_of(0.5, 0.906, {{{1}, 0.05, 0.9}});
  const auto held = tools::beyond_limits(narrow, {0.9, 0});
  REQUIRE(held.size() == 1);
  CHECK(near(narrow.drawn(held[0].values).primary_length.at(1), 0.906, 1e-12, 0));
}

TEST_CASE("a design is within limits where its values and what fits are") {
  const tools::SearchSpace space = space_of(0.5, 1.2, {{{1}, 0.05, 0.9}});
  CHECK(tools::within_limits(space, {0.5, 0}));
  CHECK(tools::within_limits(space, {1.2, 0}));
  CHECK_FALSE(tools::within_limits(space, {1.21, 0}));
  CHECK_FALSE(tools::within_limits(space, {0.49, 0}));
  CHECK_FALSE(tools::within_limits(space, {0.8, 0.001}));
}
