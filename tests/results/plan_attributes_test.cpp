// How a plan is spelled in a file: what is written comes back, and nothing else is understood.
#include "tools/results/plan_attributes.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <vector>

#include "tests/results/invented_study.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using models::JunctionLaw;

TEST_CASE("a run has one group in a file, and the group names the run") {
  const std::vector<std::pair<RunVariant, const char*>> spelled = {
      {production_grid, "4-2-1_b.2"},
      {coarse_grid, "4-2-1_b.2/variants/coarse"},
      {with_coupling(models::MergeCoupling::weak), "4-2-1_b.2/variants/merge-weak"},
      {with_coupling(models::MergeCoupling::strong), "4-2-1_b.2/variants/merge-strong"},
      {longer_primaries, "4-2-1_b.2/variants/longer"},
      {cooler_gas, "4-2-1_b.2/variants/cooler-gas"},
      {without_pulse_of(1), "4-2-1_b.2/variants/absorbed-1"},
      {without_pulse_of(12), "4-2-1_b.2/variants/absorbed-12"},
      {with_parts(1, 2), "4-2-1_b.2/variants/length-of-2"},
      {with_parts(2, 1), "4-2-1_b.2/variants/tube-of-1"},
      {with_parts(7, 12), "4-2-1_b.2/variants/length-tube-collector-of-12"}};
  for (const auto& entry : spelled) {
    const RunVariant variant = entry.first;
    const char* const name = entry.second;
    CAPTURE(name);
    CHECK(run_group_name("4-2-1_b.2", variant) == name);
    const auto run = parse_run_group(name);
    REQUIRE(run.has_value());
    CHECK(run->header_group == "4-2-1_b.2");
    CHECK(run->variant == variant);
  }
}

TEST_CASE("a group that no plan would write is no run") {
  for (const char* name : {"a/variants/",
                           "a/variants/fine",
                           "a/variants/law-",
                           "a/variants/law-jet",
                           "a/variants/law-constant_pressure",
                           "a/variants/merge-fitted",
                           "a/variants/absorbed-",
                           "a/variants/absorbed-0",
                           "a/variants/absorbed--1",
                           "a/variants/absorbed-01",
                           "a/variants/absorbed-1x",
                           "a/variants/absorbed-99999999999",
                           "a/variants/coarse/variants/coarse",
                           "a/variants/length-of-",
                           "a/variants/length-of-0",
                           "a/variants/length-of-02",
                           "a/variants/of-2",
                           "a/variants/-of-2",
                           "a/variants/kind-of-2",
                           "a/variants/tube-length-of-2",
                           "a/variants/length-length-of-2"}) {
    CAPTURE(name);
    CHECK_FALSE(parse_run_group(name).has_value());
  }
}

TEST_CASE("settings come back to the last bit, each under a key of its own") {
  const StudySettings settings = tests::invented_study().settings;
  const StudySettings back = parse_settings(settings_text(settings));
  std::vector<double> values, values_back;
  const auto keep_in = [](std::vector<double>& list) {
    return [&list](const char*, const auto& value) { list.push_back(value); };
  };
  for_each_setting(settings, keep_in(values));
  for_each_setting(back, keep_in(values_back));
  CHECK(values == values_back);
  CHECK(nlohmann::json::parse(settings_text(settings)).size() == values.size());
  CHECK(values.size() == 7);
}

TEST_CASE("grouping and primary lengths come back") {
  for (const auto& plan : tests::invented_study().headers) {
    HeaderPlan back;
    parse_grouping(grouping_text(plan), back);
    CHECK(back.primary_length == plan.primary_length);
    REQUIRE(back.groups.size() == plan.groups.size());
    for (std::size_t i = 0; i < back.groups.size(); ++i) {
      CHECK(back.groups[i].name == plan.groups[i].name);
      CHECK(back.groups[i].cylinders == plan.groups[i].cylinders);
      CHECK(back.groups[i].interval_deg == plan.groups[i].interval_deg);
      CHECK(back.groups[i].collector_position == plan.groups[i].collector_position);
      CHECK(back.groups[i].subgroups == plan.groups[i].subgroups);
    }
  }
}

TEST_CASE("texts of a plan that this program did not write are refused") {
  for (const char* text : {"", "{}", "[]", "{\"courant\": \"fast\"}"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH_AS(parse_settings(text), doctest::Contains("settings cannot be read"),
                         std::runtime_error);
  }
  for (const char* text :
       {"", "{}", "[[1, 8], [4]]", "{\"groups\": [], \"primary_length_m\": {\"one\": 0.7}}"}) {
    CAPTURE(text);
    HeaderPlan plan;
    CHECK_THROWS_WITH_AS(parse_grouping(text, plan), doctest::Contains("grouping cannot be read"),
                         std::runtime_error);
  }
  CHECK_THROWS_AS(parse_kind("boat"), std::runtime_error);
  CHECK_THROWS_AS(parse_law("boat"), std::runtime_error);
}

TEST_CASE("every kind and every law is read as it is spelled") {
  for (int i = 0; i <= static_cast<int>(cases::HeaderKind::network); ++i) {
    const auto kind = static_cast<cases::HeaderKind>(i);
    CHECK(parse_kind(std::string(cases::kind_name(kind))) == kind);
  }
  for (const auto law :
       {JunctionLaw::momentum, JunctionLaw::constant_pressure, JunctionLaw::plenum}) {
    CHECK(parse_law(std::string(cases::law_name(law))) == law);
  }
}
