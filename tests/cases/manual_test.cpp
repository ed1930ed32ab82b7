// The parameter table itself, and the manual page made from it.
#include "cases/manual.hpp"

#include <algorithm>
#include <cstdlib>
#include <doctest/doctest.h>
#include <fstream>
#include <set>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>

#include "cases/case_reader.hpp"
#include "cases/parameter_table.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;

namespace {

bool has_range(const Parameter& parameter) {
  return parameter.kind != ValueKind::valve_event && parameter.kind != ValueKind::choice &&
         parameter.kind != ValueKind::flag && parameter.kind != ValueKind::text;
}

}  // namespace

// To write the page anew: PULSEWRIGHT_WRITE_MANUAL=1 tests_cases -tc="the manual page*"
TEST_CASE("the manual page is up to date") {
  const std::filesystem::path file = tests::shipped_folder() / "MANUAL.md";
  if (std::getenv("PULSEWRIGHT_WRITE_MANUAL") != nullptr)
    std::ofstream(file) << manual_page(ManualForm::markdown);
  std::ifstream in(file);
  std::ostringstream text;
  text << in.rdbuf();
  CHECK_MESSAGE(text.str() == manual_page(ManualForm::markdown),
                "cases/MANUAL.md differs from the parameter table; write it anew by running this "
                "test with PULSEWRIGHT_WRITE_MANUAL=1");
}

TEST_CASE("the manual page names every key with its range") {
  const std::string page = manual_page(ManualForm::markdown);
  for (const Parameter& parameter : parameters()) {
    CAPTURE(parameter.key);
    const std::string quoted = std::string("`").append(parameter.key).append("`");
    CHECK(page.find(quoted) != std::string::npos);
    CHECK(!parameter.prose.empty());
    CHECK(!parameter.example.empty());
  }
}

TEST_CASE("the plain manual has every key of the page, in lines of 80 characters without markup") {
  const std::string page = manual_page(ManualForm::plain);
  std::string words;  // with one blank between two
  std::istringstream all(page);
  for (std::string word; all >> word;) words += word + " ";
  for (const Parameter& parameter : parameters()) {
    CAPTURE(parameter.section);
    CAPTURE(parameter.key);
    CHECK(page.find("\n" + std::string(parameter.key) + "\n    ") != std::string::npos);
    CHECK(words.find(allowed_text(parameter) + ". ") != std::string::npos);
    if (!parameter.fallback.none()) {
      CHECK(words.find(". Default: " + default_text(parameter) + ". ") != std::string::npos);
    }
  }
  for (const char* mark : {"`", "**", "|", "##", "<!--"}) {
    CAPTURE(mark);
    CHECK(page.find(mark) == std::string::npos);
  }
  CHECK(page.find("Every quantity is a text with its unit: \"94 mm\"") != std::string::npos);
  std::istringstream lines(page);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(line.size() <= 80);
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
    if (parameter.fallback.none()) continue;
    const double value = default_value(parameter);
    // The text of the manual says the number that is taken, to the 12 digits that it shows.
    CHECK(tests::near(value_of(default_text(parameter), parameter), value, 1e-11, 1e-300));
    if (!parameter.least.empty()) CHECK(value >= value_of(parameter.least, parameter));
    if (!parameter.greatest.empty()) CHECK(value <= value_of(parameter.greatest, parameter));
  }
}

TEST_CASE("defaults of a choice are among its choices") {
  for (const Parameter& parameter : parameters()) {
    if (parameter.kind != ValueKind::choice || parameter.fallback.none()) continue;
    CAPTURE(parameter.key);
    CHECK(choice_index(parameter, default_text(parameter)).has_value());
  }
}

TEST_CASE("the manual shows the default that the reader takes, in the row of its key") {
  const std::string page = manual_page(ManualForm::markdown);
  for (const Parameter& parameter : parameters()) {
    if (parameter.fallback.none()) continue;
    CAPTURE(parameter.section);
    CAPTURE(parameter.key);
    const std::string row = "| `" + std::string(parameter.key) + "` | " + allowed_text(parameter) +
                            " | " + default_text(parameter) + " | ";
    CHECK(page.find(row) != std::string::npos);
  }
  CHECK(
      page.find("| `reference_speed` | a speed of rotation with its unit from 500 rpm to 20000 rpm "
                "| 6000 rpm |") != std::string::npos);
}

TEST_CASE("a case that leaves everything out has the defaults of the models, to the last bit") {
  const CaseFile c = read_case_text(tests::sample_text(), "sample.toml");
  const models::EngineSpecification e;
  CHECK(c.ambient.pressure == e.ambient.pressure);
  CHECK(c.ambient.temperature == e.ambient.temperature);
  CHECK(c.engine.geometry.pin_offset == e.geometry.pin_offset);
  CHECK(c.engine.scavenge_displacement == e.scavenge_displacement);
  CHECK(c.exhaust_valve.count == e.exhaust_valve.count);
  CHECK(c.combustion.air_fuel_ratio == e.combustion.air_fuel_ratio);
  CHECK(c.combustion.stoichiometric_air_fuel == e.combustion.stoichiometric_air_fuel);
  CHECK(c.combustion.hydrogen_to_carbon == e.combustion.hydrogen_to_carbon);
  CHECK(c.combustion.heating_value == e.combustion.heating_value);
  CHECK(c.combustion.efficiency == e.combustion.efficiency);
  CHECK(c.combustion.burned_50_deg == e.combustion.burned_50_deg);
  CHECK(c.combustion.duration_deg == e.combustion.duration_deg);
  CHECK(c.combustion.reference_speed == e.combustion.reference_speed);
  CHECK(c.combustion.duration_exponent == e.combustion.duration_exponent);
  CHECK(c.combustion.wiebe_a == e.combustion.wiebe_a);
  CHECK(c.combustion.wiebe_m == e.combustion.wiebe_m);
  CHECK(c.cylinder_heat.law == e.cylinder_heat.law);
  CHECK(c.cylinder_heat.multiplier == e.cylinder_heat.multiplier);
  CHECK(c.cylinder_heat.head_temperature == e.cylinder_heat.head_temperature);
  CHECK(c.cylinder_heat.piston_temperature == e.cylinder_heat.piston_temperature);
  CHECK(c.cylinder_heat.liner_temperature == e.cylinder_heat.liner_temperature);
  CHECK(c.friction.a == e.friction.a);
  CHECK(c.friction.b == e.friction.b);
  CHECK(c.friction.c == e.friction.c);
  CHECK(c.friction.d == e.friction.d);
  CHECK(c.intake.entry_area_ratio == models::OpenEndSpecification().effective_area_ratio);
  CHECK(c.exhaust.law == models::JunctionSpecification().law);
  CHECK(c.exhaust.heat == models::PipeSpecification().heat);
  CHECK(c.exhaust.heat_multiplier == models::PipeSpecification().heat_multiplier);
  CHECK(c.exhaust.wall.conductivity == models::Wall().conductivity);
  CHECK(c.exhaust.wall.emissivity == models::Wall().emissivity);
  CHECK(c.exhaust.wall.outside_coefficient == models::Wall().outside_coefficient);
  CHECK(c.run.cell_size == models::PipeSpecification().cell_size);
  CHECK(c.run.settings.courant == models::RunSettings().courant);
  CHECK(c.run.settings.most_cycles == models::RunSettings().most_cycles);
  CHECK(c.run.settings.tolerance == models::RunSettings().tolerance);
  CHECK(c.run.settings.method == models::RunSettings().method);
  CHECK(c.run.settings.trace_points == models::RunSettings().trace_points);
  CHECK(c.run.settings.wave_angles == models::RunSettings().wave_angles);
}

TEST_CASE("a default taken from the models is what its text in the manual reads as") {
  // The reader took these from their texts before: the number must be the same to the last bit, or
  // a case that writes a default out would differ from one that leaves it out.
  int taken = 0;
  for (const Parameter& parameter : parameters()) {
    if (parameter.fallback.value == nullptr || !has_range(parameter)) continue;
    CAPTURE(parameter.section);
    CAPTURE(parameter.key);
    CHECK(value_of(default_text(parameter), parameter) == default_value(parameter));
    ++taken;
  }
  CHECK(taken >= 40);
}

TEST_CASE("choices stand in the order of their enumerators") {
  for (const auto& [name, kind] : {std::pair{"equal-length", HeaderKind::equal_length},
                                   std::pair{"180-degree", HeaderKind::degree_180},
                                   std::pair{"stepped-length", HeaderKind::stepped_length},
                                   std::pair{"4-2-1", HeaderKind::four_two_one},
                                   std::pair{"divided-collector", HeaderKind::divided_collector},
                                   std::pair{"network", HeaderKind::network}}) {
    CHECK(kind_name(kind) == name);
    CHECK(kind_of_name(name) == kind);
  }
  using Law = models::JunctionLaw;
  for (const auto& [name, law] :
       {std::pair{"momentum", Law::momentum},
        std::pair{"constant_pressure", Law::constant_pressure}, std::pair{"plenum", Law::plenum}}) {
    CHECK(law_name(law) == name);
    CHECK(law_of_name(name) == law);
    const std::string text =
        tests::replaced(tests::sample_text(), "[exhaust]\n",
                        std::string("[exhaust]\njunction = \"") + name + "\"\n");
    CHECK(read_case_text(text, "sample.toml").exhaust.law == law);
  }
  CHECK(!law_of_name("vacuum").has_value());
  CHECK(!kind_of_name("8-4-2-1").has_value());
  CHECK(junction_laws() == std::vector{Law::momentum, Law::constant_pressure, Law::plenum});
  using Heat = models::PipeHeatLaw;
  for (const auto& [name, heat] :
       {std::pair{"none", Heat::none}, std::pair{"reynolds_analogy", Heat::reynolds_analogy},
        std::pair{"exhaust_correlation", Heat::exhaust_correlation},
        std::pair{"manifold_correlation", Heat::manifold_correlation}}) {
    const std::string text = tests::replaced(tests::sample_text(), "[exhaust]\n",
                                             std::string("[exhaust]\nheat = \"") + name + "\"\n");
    CHECK(read_case_text(text, "sample.toml").exhaust.heat == heat);
  }
  for (const auto& [name, law] : {std::pair{"woschni", models::CylinderHeatLaw::woschni},
                                  std::pair{"annand", models::CylinderHeatLaw::annand}}) {
    const std::string text =
        tests::replaced(tests::sample_text(), "[exhaust]\n",
                        std::string("[cylinder_heat]\nlaw = \"") + name + "\"\n[exhaust]\n");
    CHECK(read_case_text(text, "sample.toml").cylinder_heat.law == law);
  }
}

TEST_CASE("the range of a key is known in SI") {
  const Range speeds = allowed_range("run", "speeds");
  CHECK(speeds.least * 60 == 300);
  CHECK(speeds.greatest * 60 == 30000);
  CHECK_THROWS_AS(allowed_range("run", "method"), std::invalid_argument);
  CHECK_THROWS_AS(allowed_range("run", "sped"), std::invalid_argument);
}

TEST_CASE("a case chooses the method of the pipes") {
  std::string text = tests::sample_text();
  const auto run = text.find("[run]\n");
  REQUIRE(run != std::string::npos);
  text.insert(run + 6, "method = \"characteristics\"\n");
  CHECK(read_case_text(text, "sample.toml").run.settings.method == models::Method::characteristics);
}

TEST_CASE("a case that leaves everything out lists what it is taken for, with a range") {
  const CaseFile c = read_case_text(tests::sample_text(), "sample.toml");
  const auto find = [&](const char* key) {
    const auto found = std::find_if(c.assumptions.begin(), c.assumptions.end(),
                                    [&](const Assumption& one) { return one.key == key; });
    return found == c.assumptions.end() ? Assumption() : *found;
  };
  CHECK(find("combustion.burned_50").value == "8 deg ATDC");
  CHECK(find("combustion.air_fuel_ratio").value == "12.8");
  CHECK(find("intake_valve.cam.lash").greatest == "0.3 mm");
  CHECK(find("exhaust_valve.flow.reverse").least.empty());
  CHECK(find("exhaust.port_length").key.empty());  // the sample has it
  // Each end of each range is taken by the reader, and one key written out is not listed.
  int tried = 0;
  for (const Assumption& one : c.assumptions) {
    for (const std::string& end : {one.least, one.greatest}) {
      if (end.empty()) continue;
      CAPTURE(one.key);
      CAPTURE(end);
      const CaseFile changed = read_case_text(tests::sample_text(), "sample.toml",
                                              MessageUnits::metric, {{one.key, end}});
      CHECK(std::none_of(changed.assumptions.begin(), changed.assumptions.end(),
                         [&](const Assumption& other) { return other.key == one.key; }));
      ++tried;
    }
  }
  CHECK(tried >= 30);
  const CaseFile late = read_case_text(tests::sample_text(), "sample.toml", MessageUnits::metric,
                                       {{"combustion.burned_50", "14 deg ATDC"}});
  CHECK(late.combustion.burned_50_deg == 14);
  CHECK(read_case_text(tests::sample_pipes(), "pipes.toml").assumptions.empty());
}
