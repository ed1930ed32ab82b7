// The tables of FORMAT.md are those of the program: every coordinate and every variable of a
// results file, with its dimensions, type, unit and meaning.
//
// To write them anew: PULSEWRIGHT_WRITE_FORMAT=1 tests_results -tc="the format page*"
#include <cstdlib>
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <fstream>
#include <map>
#include <sstream>
#include <variant>

#include "models/figures/figure_table.hpp"
#include "tests/results/invented_study.hpp"
#include "tools/results/coordinates.hpp"
#include "tools/results/file_layout.hpp"
#include "tools/results/variables.hpp"

using namespace pulsewright;

namespace {

const char* type_name(tools::ElementType type) {
  switch (type) {
    case tools::ElementType::float64:
      return "float64";
    case tools::ElementType::float32:
      return "float32";
    case tools::ElementType::int64:
      return "int64";
    case tools::ElementType::int32:
      return "int32";
    case tools::ElementType::int8:
      return "int8";
    case tools::ElementType::text:
      return "char";
  }
  return "";
}

const char* type_name(const tools::Coordinate& coordinate) {
  static constexpr const char* names[] = {"float64", "int32", "text"};
  return names[coordinate.values.index()];
}

std::string row(const std::string& name, const std::string& dimensions, const std::string& type,
                const std::string& units, const std::string& text) {
  return fmt::format("| `{}` | {} | {} |{}{} | {} |", name, dimensions, type,
                     units.empty() ? "" : " ", units, text);
}

// Heading of the section of the page that a variable stands in.
std::string section_of(const tools::Variable& variable) {
  switch (variable.kind) {
    case tools::VariableKind::bookkeeping:
      return "State of a point";
    case tools::VariableKind::trace:
      return "Traces";
    case tools::VariableKind::diagram:
      return "Wave diagrams";
    case tools::VariableKind::figure:
      break;
  }
  if (variable.name.starts_with("ledger_")) return "Balance";
  if (variable.dimensions.size() == 1) return "Figures of a point";
  const std::string& part = variable.dimensions[1];  // "cylinder", "merge_name", ...
  return "Figures of a " + part.substr(0, part.find('_'));
}

const char* rule_name(models::MeanRule rule) {
  switch (rule) {
    case models::MeanRule::none:
      return "none";
    case models::MeanRule::arithmetic:
      return "arithmetic";
  }
  return "";
}

// " arithmetic | none |" of a figure of a cylinder, by the name of its variable; nothing of others.
std::string mean_columns(const std::string& variable) {
  std::string columns;
  models::for_each_cylinder_figure([&](const models::CylinderFigure& figure) {
    if (variable == std::string("cylinder_") + figure.name) {
      columns = fmt::format(" {} | {} |", rule_name(figure.over_cycles),
                            rule_name(figure.over_cylinders));
    }
  });
  return columns;
}

// The tables by the headings above them.
std::map<std::string, std::string> tables() {
  const std::string head = "| variable | dimensions | type | unit | meaning |";
  const std::string rule = "|---|---|---|---|---|";
  const auto plan = tests::invented_study();
  std::map<std::string, std::string> result;
  const auto add = [&](const std::string& section, const std::string& line) {
    auto& table = result[section];
    if (table.empty()) {
      const bool has_means = section == "Figures of a cylinder";
      table = head + (has_means ? " over cycles | over cylinders |" : "") + "\n" + rule +
              (has_means ? "---|---|" : "") + "\n";
    }
    table += line + "\n";
  };
  for (const auto& one : tools::root_coordinates(plan)) {
    add("The root", row(one.name, one.dimension, type_name(one), one.units, one.long_name));
  }
  auto coordinates = tools::header_coordinates(plan, plan.headers[0]);
  coordinates.push_back(tools::checked_coordinate(tools::header_variables(plan, plan.headers[0])));
  for (const auto& one : coordinates) {
    add("Coordinates", row(one.name, one.dimension, type_name(one), one.units, one.long_name));
  }
  for (const auto& one : tools::header_variables(plan, plan.headers[0])) {
    add(section_of(one), row(one.name, fmt::format("{}", fmt::join(one.dimensions, ", ")),
                             type_name(one.type), one.units, one.long_name) +
                             mean_columns(one.name));
  }
  return result;
}

// The page with the first table below each heading of `tables` as it should be.
std::string renewed(const std::string& page, std::map<std::string, std::string> tables) {
  std::istringstream in(page);
  std::string out;
  std::string section;
  bool in_table = false;
  for (std::string line; std::getline(in, line);) {
    const bool is_row = line.starts_with("|");
    if (line.starts_with("## ")) section = line.substr(3);
    if (is_row && !in_table) in_table = tables.contains(section);
    if (in_table && is_row) continue;
    if (in_table) {
      out += tables.extract(section).mapped();
      in_table = false;
    }
    out += line + "\n";
  }
  for (const auto& left : tables) FAIL_CHECK("no table below the heading '" << left.first << "'");
  return out;
}

}  // namespace

TEST_CASE("the format page has the tables of the program") {
  const std::string path = PULSEWRIGHT_SOURCE_DIR "/tools/results/FORMAT.md";
  std::ifstream in(path);
  REQUIRE(in.is_open());
  std::ostringstream text;
  text << in.rdbuf();
  const std::string page = text.str();
  const std::string expected = renewed(page, tables());
  if (std::getenv("PULSEWRIGHT_WRITE_FORMAT") != nullptr) {
    std::ofstream(path) << expected;
    return;
  }
  CHECK_MESSAGE(page == expected,
                "tools/results/FORMAT.md differs from the variables of the program; write its "
                "tables anew by running this test with PULSEWRIGHT_WRITE_FORMAT=1");
  CHECK(page.starts_with(
      fmt::format("# The results file, format version {}\n", tools::format_version)));
}

TEST_CASE("a change of one row of the format page is seen") {
  auto all = tables();
  CHECK(all.size() == 10);
  std::string page;
  for (const auto& [heading, table] : all) page += "## " + heading + "\n\n" + table + "\n";
  CHECK(renewed(page, all) == page);
  for (const std::string gone : {"`torque`", "arithmetic | none", "speed, merge_name, slot"}) {
    CAPTURE(gone);
    std::string other = page;
    REQUIRE(other.find(gone) != std::string::npos);
    other.erase(other.find(gone), 3);
    CHECK(renewed(other, all) != other);
    CHECK(renewed(other, all) == page);
  }
}
