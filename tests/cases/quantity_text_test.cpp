// Quantities in messages, metric and in inches.
#include "cases/quantity_text.hpp"

#include <doctest/doctest.h>
#include <regex>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/parameter_table.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

const QuantityText metric;
const QuantityText as_inches(MessageUnits::inch);

// Everything that is said about a case, refused or not.
std::string said(const std::string& text, MessageUnits units) {
  std::string out;
  try {
    for (const Problem& remark : read_case_text(text, "case.toml", units).remarks) {
      out += remark.message + "\n" + remark.allowed + "\n" + remark.advice + "\n";
    }
  } catch (const CaseError& error) {
    for (const Problem& problem : error.problems()) {
      out += problem.message + "\n" + problem.allowed + "\n";
    }
  }
  return out;
}

bool names_metric_unit(const std::string& text) {
  static const std::regex number_and_unit(R"(\d (mm|mm2|cm3|m|bar|kPa|degC|K)\b)");
  return std::regex_search(text, number_and_unit);
}

}  // namespace

TEST_CASE("a quantity in both systems") {
  // 1 in = 25.4 mm exactly.
  CHECK(metric.length(0.0127) == "12.7 mm");
  CHECK(as_inches.length(0.0127) == "0.5 in");
  CHECK(metric.area(0.00064516) == "645.2 mm2");
  CHECK(as_inches.area(0.00064516) == "1 in2");
  CHECK(metric.volume(0.005) == "5000 cm3");
  CHECK(metric.volume(0.0123456) == "12346 cm3");
  CHECK(as_inches.volume(0.005) == "305.1 in3");
  CHECK(metric.speed(20) == "20 m/s");
  CHECK(as_inches.speed(20) == "65.6 ft/s");
  CHECK(metric.pressure(6894.757) == "6.89 kPa");
  CHECK(as_inches.pressure(6894.757) == "1 psi");
  CHECK(metric.mass_flow(0.1) == "360 kg/h");
  CHECK(as_inches.mass_flow(0.1) == "13.2 lb/min");
  CHECK(metric.volume_flow(0.1) == "360 m3/h");
  CHECK(as_inches.volume_flow(0.1) == "212 cfm");
  CHECK(metric.temperature(900) == "627 degC");
  CHECK(as_inches.temperature(293.15) == "68 degF");
}

TEST_CASE("a limit of the parameter table in both systems") {
  CHECK(metric.of_text("20 mm", Dimension::length) == "20 mm");
  CHECK(as_inches.of_text("20 mm", Dimension::length) == "0.7874 in");
  CHECK(as_inches.of_text("1 bar", Dimension::pressure) == "14.5 psi");
  CHECK(as_inches.of_text("100 degC", Dimension::temperature) == "212 degF");
  CHECK(as_inches.of_text("28 inH2O", Dimension::pressure) == "28 inH2O");
  CHECK(as_inches.of_text("300 rpm", Dimension::rotation) == "300 rpm");
  CHECK(as_inches.of_text("12", Dimension::none) == "12");
  for (const Parameter& parameter : parameters()) {
    // Coefficients of heat transfer and friction are metric in both.
    if (parameter.dimension > Dimension::temperature) continue;
    CAPTURE(parameter.key);
    CHECK(!names_metric_unit(allowed_text(parameter, as_inches)));
  }
}

TEST_CASE("messages about a case show inches only, where they are asked for") {
  const std::pair<const char*, const char*> changes[] = {
      {"rod = \"150 mm\"", "rod = \"70 mm\""},
      {"bore = \"102 mm\"", "bore = \"900 mm\""},
      {"bore = \"102 mm\"", "bore = \"30 mm\""},
      {"seat_diameter = \"49 mm\"", "seat_diameter = \"64 mm\""},
      {"lift = \"14 mm\"", "lift = \"41 mm\""},
      {"lift = \"14 mm\"\nduration = \"256 deg\"", "lift = \"21 mm\""},
      {"duration = \"256 deg\"", "duration = \"300 deg\""},
      {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"75 cfm\", \"168 cfm\", \"207 cfm\"]"},
      {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"90 cfm\"]"},
      {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"900 cfm\"]"},
      {"port_diameter = \"40 mm\"", "port_diameter = \"20 mm\""},
      {"port_length = \"75 mm\"",
       "port_length = \"75 mm\"\nbends = [{ angle = \"180 deg\", radius = \"400 mm\" }]"},
      {"collector_length = \"16 in\"", "collector_length = \"5 mm\""},
      {"[run]", "[[header.probe]]\npipe = \"collector left\"\ndistance = \"2 m\"\n[run]"},
      {"step = \"250 rpm\"", "step = \"250 rpm\"\ncell_size = \"900 mm\""},
  };
  for (const auto& change : changes) {
    const std::string text = replaced(sample_text(), change.first, change.second);
    REQUIRE(!text.empty());
    CAPTURE(std::string(change.second));
    const std::string in_metric = said(text, MessageUnits::metric);
    const std::string in_inches = said(text, MessageUnits::inch);
    CAPTURE(in_inches);
    CHECK(names_metric_unit(in_metric));
    CHECK(!in_inches.empty());
    CHECK(!names_metric_unit(in_inches));
  }
}
