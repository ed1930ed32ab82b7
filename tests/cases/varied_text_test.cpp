// A found header in the text of its case: what is read back is what was found.
#include "cases/varied_text.hpp"

#include <doctest/doctest.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/design_variable.hpp"
#include "cases/header_builder.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

DesignVariable part_of(const HeaderDesign& header, VariedPart part,
                       std::vector<int> cylinders = {}) {
  DesignVariable variable;
  variable.part = part;
  variable.cylinders = std::move(cylinders);
  return with_choices(variable, header);
}

// Of every pipe, and in the same order.
void check_same_pipes(const models::EngineSpecification& one,
                      const models::EngineSpecification& other) {
  REQUIRE(one.pipes.size() == other.pipes.size());
  for (std::size_t i = 0; i < one.pipes.size(); ++i) {
    CHECK(near(one.pipes[i].length, other.pipes[i].length, 0, 2e-5));  // written to 0.01 mm
    for (const double part : {0.0, 0.3, 0.7, 1.0}) {
      CHECK(near(models::diameter_at(one.pipes[i].profile, part * one.pipes[i].length),
                 models::diameter_at(other.pipes[i].profile, part * other.pipes[i].length), 1e-4,
                 1e-6));
    }
  }
}

void check_round_trip(const std::string& case_text, const std::string& base,
                      const std::vector<DesignVariable>& variables,
                      const std::vector<double>& values) {
  const CaseFile before = read_case_text(case_text, "before.toml");
  const HeaderDesign found = varied_header(find_header(before, base), variables, values);
  const std::string text =
      varied_case_text(case_text, {base, "found", "by a search", found}, variables);
  CAPTURE(text.substr(case_text.size()));
  CHECK(text.substr(0, case_text.size()) == case_text);
  const CaseFile after = read_case_text(text, "after.toml");
  REQUIRE(after.headers.size() == before.headers.size() + 1);
  const HeaderDesign& read = after.headers.back();
  CHECK(read.name == "found");
  CHECK(read.notes == "by a search");
  for (std::size_t g = 0; g < found.groups.size(); ++g) {
    CHECK(read.groups[g].cylinders == found.groups[g].cylinders);
    CHECK(read.groups[g].collector_position == found.groups[g].collector_position);
  }
  check_same_pipes(build_engine(after, read), build_engine(before, found));
}

}  // namespace

TEST_CASE("a found header is read back as it was found, of every shipped case") {
  using enum VariedPart;
  int headers = 0;
  for (const auto& file : tests::shipped_files()) {
    const CaseFile case_file = read_case_file(file);
    if (!case_file.has_engine()) continue;
    for (const HeaderDesign& header : case_file.headers) {
      if (header.kind == HeaderKind::network) continue;
      CAPTURE(file.string());
      CAPTURE(header.name);
      std::vector<DesignVariable> variables;
      std::vector<double> values;
      for (const VariedPart part :
           {primary_length, primary_tube, secondary_length, collector_length, tail_length,
            secondary_tube, collector_tube, collector_order, primary_span, step_at}) {
        DesignVariable variable = part_of(header, part);
        if (!why_not_varied(header, variable).empty()) continue;
        const double here = variable_value(header, variable);
        variables.push_back(variable);
        values.push_back(variable.is_length() ? here + 0.0123 : variable.is_tube() ? here - 1 : 1);
      }
      check_round_trip(case_file.text, header.name, variables, values);
      ++headers;
    }
  }
  CHECK(headers >= 10);
}

TEST_CASE("single primaries of a found header, with tables that have several") {
  const std::string text = tests::replaced(
      tests::sample_text(), "[[header]]\nname = \"stepped-length\"",
      "primary_steps = [{ at = \"12 in\", tube = \"2 in OD, 16 ga\" }]\n[[header.primary]]\n"
      "cylinders = [1, 3]\nlength = \"31 in\"\n[[header.primary]]\ncylinders = [5]\ntube = \"1-3/4 "
      "in OD, 16 ga\"\n[[header]]\nname = \"stepped-length\"");
  const HeaderDesign header = read_case_text(text, "sample.toml").headers.front();
  check_round_trip(
      text, "equal-length",
      {part_of(header, VariedPart::primary_tube, {3, 5, 7}),
       part_of(header, VariedPart::primary_length, {1}), part_of(header, VariedPart::step_at)},
      {1, 0.8, 0.25});
}

TEST_CASE("a name that is taken, or a base that is not there") {
  const HeaderDesign header = read_case_text(tests::sample_text(), "sample.toml").headers.front();
  const auto text = [&](const std::string& base, const std::string& name) {
    return varied_case_text(tests::sample_text(), {base, name, "", header}, {});
  };
  CHECK_THROWS_AS(text("equal-length", "stepped-length"), std::invalid_argument);
  CHECK_THROWS_AS(text("none", "found"), std::invalid_argument);
  CHECK(tube_value(parse_tube("1-7/8 in OD, 16 ga")) == "1.875 in OD, 16 ga");
  CHECK(tube_value(parse_tube("42.4 mm OD, 1.5 mm wall")) == "42.400 mm OD, 1.500 mm wall");
  CHECK(tube_value(parse_tube("38 mm ID")) == "38.000 mm ID");
}
