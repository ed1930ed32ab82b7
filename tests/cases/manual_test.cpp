// The parameter table itself, and the manual page made from it.
#include "cases/manual.hpp"

#include <algorithm>
#include <cstdlib>
#include <doctest/doctest.h>
#include <fstream>
#include <set>
#include <sstream>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/parameters.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;

namespace {

double value_of(std::string_view text, const Parameter& parameter) {
  if (parameter.dimension == Dimension::none) return std::stod(std::string(text));
  return parse_quantity(text, parameter.dimension);
}

bool has_range(const Parameter& parameter) {
  return parameter.kind != ValueKind::valve_event && parameter.kind != ValueKind::choice &&
         parameter.kind != ValueKind::flag && parameter.kind != ValueKind::text;
}

}  // namespace

// To write the page anew: PULSEWRIGHT_WRITE_MANUAL=1 tests_cases -tc="the manual page*"
TEST_CASE("the manual page is up to date") {
  const std::filesystem::path file = tests::shipped_folder() / "MANUAL.md";
  if (std::getenv("PULSEWRIGHT_WRITE_MANUAL") != nullptr) std::ofstream(file) << manual_page();
  std::ifstream in(file);
  std::ostringstream text;
  text << in.rdbuf();
  CHECK_MESSAGE(text.str() == manual_page(),
                "cases/MANUAL.md differs from the parameter table; write it anew by running this "
                "test with PULSEWRIGHT_WRITE_MANUAL=1");
}

TEST_CASE("the manual page names every key with its range") {
  const std::string page = manual_page();
  for (const Parameter& parameter : parameters()) {
    CAPTURE(parameter.key);
    const std::string quoted = std::string("`").append(parameter.key).append("`");
    CHECK(page.find(quoted) != std::string::npos);
    CHECK(!parameter.prose.empty());
    CHECK(!parameter.example.empty());
  }
}

TEST_CASE("limits and defaults of the parameter table parse and agree") {
  std::set<std::pair<std::string_view, std::string_view>> keys;
  for (const Parameter& parameter : parameters()) {
    CAPTURE(parameter.section);
    CAPTURE(parameter.key);
    CHECK(keys.insert({parameter.section, parameter.key}).second);
    if (!has_range(parameter)) continue;
    if (!parameter.least.empty() && !parameter.greatest.empty()) {
      CHECK(value_of(parameter.least, parameter) < value_of(parameter.greatest, parameter));
    }
    if (parameter.fallback.empty()) continue;
    const double value = value_of(parameter.fallback, parameter);
    if (!parameter.least.empty()) CHECK(value >= value_of(parameter.least, parameter));
    if (!parameter.greatest.empty()) CHECK(value <= value_of(parameter.greatest, parameter));
  }
}

TEST_CASE("defaults of a choice are among its choices") {
  for (const Parameter& parameter : parameters()) {
    if (parameter.kind != ValueKind::choice || parameter.fallback.empty()) continue;
    CAPTURE(parameter.key);
    const auto choices = choices_of(parameter);
    CHECK(std::find(choices.begin(), choices.end(), parameter.fallback) != choices.end());
  }
}

TEST_CASE("the defaults of the case file are those of the models") {
  std::string text = tests::sample_text();
  const CaseFile case_file = read_case_text(text, "sample.toml");
  const models::CombustionSpecification combustion;
  CHECK(case_file.combustion.air_fuel_ratio == combustion.air_fuel_ratio);
  CHECK(case_file.combustion.half_burnt_deg == combustion.half_burnt_deg);
  CHECK(case_file.combustion.duration_deg == combustion.duration_deg);
  CHECK(case_file.combustion.efficiency == combustion.efficiency);
  CHECK(case_file.run.settings.courant == models::RunSettings().courant);
  CHECK(case_file.run.settings.most_cycles == models::RunSettings().most_cycles);
  CHECK(case_file.run.settings.tolerance == models::RunSettings().tolerance);
  CHECK(case_file.run.settings.method == models::RunSettings().method);
}

TEST_CASE("a case chooses the method of the pipes") {
  std::string text = tests::sample_text();
  const auto run = text.find("[run]\n");
  REQUIRE(run != std::string::npos);
  text.insert(run + 6, "method = \"characteristics\"\n");
  CHECK(read_case_text(text, "sample.toml").run.settings.method == models::Method::characteristics);
}
