// FORMAT.md names every dataset of a results file, with its dimensions, type and unit, and no
// other.
#include <doctest/doctest.h>
#include <fstream>
#include <map>
#include <regex>

#include "tests/results/invented_study.hpp"
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

std::string row(const std::string& dimensions, const std::string& type, const std::string& units) {
  return dimensions + " | " + type + " | " + units;
}

// Rows "| `name` | dimensions | type | unit | meaning |" of the page's tables of variables.
std::map<std::string, std::string> rows_of_page() {
  std::ifstream page(PULSEWRIGHT_SOURCE_DIR "/tools/results/FORMAT.md");
  REQUIRE(page.is_open());
  const std::regex pattern(R"(\| `(\w+)` \| ([\w, ]+) \| (\w+) \| ([^|]*?) ?\| ([^|]+) \|)");
  std::map<std::string, std::string> rows;
  for (std::string line; std::getline(page, line);) {
    std::smatch parts;
    if (!std::regex_match(line, parts, pattern)) continue;
    const bool is_new = rows.emplace(parts[1], row(parts[2], parts[3], parts[4])).second;
    CHECK_MESSAGE(is_new, "named twice: ", parts[1].str());
  }
  return rows;
}

}  // namespace

TEST_CASE("the format page names every variable and no other") {
  auto rows = rows_of_page();
  const auto plan = tests::invented_study();
  for (const auto& variable : tools::header_variables(plan, plan.headers[0])) {
    CAPTURE(variable.name);
    std::string dimensions;
    for (const auto& dimension : variable.dimensions) {
      dimensions += (dimensions.empty() ? "" : ", ") + dimension;
    }
    REQUIRE(rows.count(variable.name) == 1);
    CHECK(rows[variable.name] == row(dimensions, type_name(variable.type), variable.units));
    rows.erase(variable.name);
  }
  // What is left are the coordinates, which the Python test holds against the file.
  for (const auto& one : rows) {
    CAPTURE(one.first);
    const auto dimension = one.first == "diagram_pipe_start" ? "diagram_pipe" : one.first;
    CHECK(one.second.starts_with(dimension + " | "));
  }
}
