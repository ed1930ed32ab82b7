// A validation case that cannot fail proves nothing: the deliberately wrong variants must fail.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <set>
#include <stdexcept>
#include <string>

#include "validation/case.hpp"
#include "validation/report_page.hpp"

using namespace pulsewright::validation;

namespace {

// A case that throws has failed too, as in the report.
bool fails(const CaseEntry& entry, Broken broken) {
  try {
    return !entry.run(broken).passed();
  } catch (const std::exception& error) {
    MESSAGE(std::string(error.what()));
    return true;
  }
}

// The broken variants of one group fail. (That the same cases pass when nothing is broken is tested
// through the program.)
void check_broken_variants(const std::string& group) {
  int variants = 0;
  for (const auto& variant : broken_variants()) {
    if (variant.group != group) continue;
    ++variants;
    CAPTURE(variant.name);
    const std::string broken = name_of(variant.broken);
    CAPTURE(broken);
    const CaseEntry& entry = find_case(variant.group, variant.name);
    CHECK(fails(entry, variant.broken));
  }
  CHECK(variants > 0);
}

}  // namespace

TEST_CASE("every group of cases has a broken variant, names are unique") {
  std::set<std::string> groups, broken_groups, names;
  for (const auto& entry : all_cases()) {
    groups.insert(entry.group);
    CHECK(names.insert(entry.group + "/" + entry.name).second);
  }
  for (const auto& variant : broken_variants()) {
    CHECK_NOTHROW(find_case(variant.group, variant.name));
    CHECK(variant.broken != Broken::nothing);
    broken_groups.insert(variant.group);
  }
  CHECK(groups == broken_groups);
  CHECK_THROWS_AS(find_case("waves", "no such case"), std::invalid_argument);
}

TEST_CASE("broken variants fail: waves") { check_broken_variants("waves"); }
TEST_CASE("broken variants fail: trends") { check_broken_variants("trends"); }
TEST_CASE("broken variants fail: convergence") { check_broken_variants("convergence"); }
TEST_CASE("broken variants fail: merge") { check_broken_variants("merge"); }
TEST_CASE("broken variants fail: cylinder") { check_broken_variants("cylinder"); }
TEST_CASE("broken variants fail: characteristics") { check_broken_variants("characteristics"); }
TEST_SUITE("long") {
  TEST_CASE("broken variants fail: junctions") { check_broken_variants("junctions"); }
  TEST_CASE("broken variants fail: steady") { check_broken_variants("steady"); }
  TEST_CASE("broken variants fail: acoustics") { check_broken_variants("acoustics"); }
  TEST_CASE("broken variants fail: reference") { check_broken_variants("reference"); }
}

TEST_CASE("a figure passes only within its tolerance, and never with NaN") {
  Figure f{"p", "Pa", 100, 101, 0.01, true, "", {}};
  CHECK(f.passed());
  f.computed = 101.1;
  CHECK_FALSE(f.passed());
  f.sense = Sense::at_least;
  CHECK(f.passed());
  f.computed = 98.9;
  CHECK_FALSE(f.passed());
  f.sense = Sense::at_most;
  CHECK(f.passed());
  f.computed = std::numeric_limits<double>::quiet_NaN();
  for (const Sense sense : {Sense::equal, Sense::at_most, Sense::at_least}) {
    f.sense = sense;
    CHECK_FALSE(f.passed());
  }
  f.relative = false;
  f.sense = Sense::equal;
  f.computed = 100.005;
  CHECK(f.passed());
  f.computed = 100.02;
  CHECK_FALSE(f.passed());
  CHECK_FALSE(CaseReport{}.passed());  // a case without figures proves nothing
}

TEST_CASE("the report contains every figure and marks the one that fails") {
  const CaseEntry entry{"group", "name", nullptr, false};
  CaseOutcome outcome;
  outcome.entry = &entry;
  outcome.was_run = true;
  outcome.report.title = "A <title> & more";
  outcome.report.figures = {
      {"good", "m", 1, 1, 0.1, true, "because", {"who", Confidence::original}},
      {"bad", "m", 1, 2, 0.1, true, "because", {"who", Confidence::original}}};
  outcome.report.plots = {{"plot", "x", "y", {{"c", {0, 1}, {0, 1}}}}};
  const std::string page = report_page({"program", "today"}, {outcome}, {{"<svg id=\"a#b\"/>"}});
  CHECK(page.find("A &lt;title&gt; &amp; more") != std::string::npos);
  CHECK(page.find("0 of 1 cases pass, 2 figures") != std::string::npos);
  CHECK(page.find("data:image/svg+xml;charset=utf-8,%3Csvg id=%22a%23b%22/%3E") !=
        std::string::npos);
  CHECK(page.find("<td class=\"fail\">fail</td>") != std::string::npos);
  CHECK(page.find("<td class=\"pass\">pass</td>") != std::string::npos);
}
