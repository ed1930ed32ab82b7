// What a page asks about a case file itself.
#include "tools/live/case_answers.hpp"

#include <algorithm>
#include <cstddef>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/case_text.hpp"
#include "cases/parameter_table.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::tests;
using namespace pulsewright::tools;
using nlohmann::json;

namespace {

std::string shipped(const std::string& name) {
  return cases::read_text_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/" + name + ".toml");
}

json edit(const std::string& text, const json& edits) {
  return case_answer("edit", {{"text", text}, {"edits", edits}});
}

}  // namespace

TEST_CASE("case answers: other calls are not answered") {
  CHECK(case_answer("point", json::object()).is_null());
  CHECK_THROWS_AS(case_answer("read", json::object()), std::invalid_argument);
  CHECK_THROWS_AS(case_answer("read", {{"text", ""}, {"units", "feet"}}), std::invalid_argument);
}

TEST_CASE("case answers: parameters are those of the table, and each table has its section") {
  const json answer = case_answer("parameters", {{"units", "metric"}});
  std::set<std::string> sections, tables{""};
  std::size_t keys = 0;
  for (const json& section : answer["sections"]) {
    sections.insert(section["section"].get<std::string>());
    CHECK(!section["keys"].empty());
    for (const json& key : section["keys"]) {
      ++keys;
      CAPTURE(key["key"]);
      CHECK(!key["help"].get<std::string>().empty());
      CHECK(!key["allowed"].get<std::string>().empty());
      CHECK((key["kind"] == "choice") == !key["choices"].empty());
      CHECK((key["dimension"] == "") == key["units"].empty());
      const bool table = key["kind"] == "table" || key["kind"] == "tables";
      CHECK((key["table"] != "") == table);
      if (table) tables.insert(key["table"].get<std::string>());
    }
  }
  CHECK(keys == cases::parameters().size());
  CHECK(tables == sections);  // every section stands under some key

  const json& engine = answer["sections"][2];
  REQUIRE(engine["section"] == "engine");
  const json& bore = engine["keys"][0];
  CHECK(bore["key"] == "bore");
  CHECK(bore["kind"] == "quantity");
  CHECK(bore["required"] == true);
  CHECK(bore["units"][0] == "m");
  CHECK(bore["least"] == "20 mm");
  CHECK(bore["allowed"] == "a length with its unit from 20 mm to 300 mm");
}

TEST_CASE("case answers: a right case is read into numbers, and its text as it is written") {
  const json read = case_answer("read", {{"text", shipped("hillclimb-v8")}});
  CHECK(read["problems"].empty());
  CHECK(read["values"]["engine"]["bore"] == "102 mm");
  CHECK(read["values"]["engine"]["firing_order"] == json({1, 8, 4, 3, 6, 5, 7, 2}));
  CHECK(read["values"]["header"][2]["shortest"] == "28 in");
  const json& found = read["case"];
  CHECK(found["engine"] == true);
  CHECK(found["invented"] == true);
  CHECK(found["cylinders"].size() == 8);
  CHECK(found["banks"][1]["name"] == "right");
  CHECK(found["band_rpm"] == json({4500, 7000}));
  CHECK(found["speeds_rpm"].front() == 3000);
  CHECK(found["speeds_rpm"].size() == 19);
  CHECK(near(found["cell_size"], 0.01, 1e-12));
  CHECK(near(found["ambient_pressure"], 101325, 1e-12));
  REQUIRE(found["headers"].size() == 5);
  const json& first = found["headers"][0];
  CHECK(first["name"] == "equal-length");
  CHECK(near(first["lengths"]["8"], 32 * 0.0254, 1e-12));
  // 1-7/8 in OD with walls of 16 gauge, 0.065 in.
  CHECK(near(first["primary_tube"]["inside_diameter"], (1.875 - 0.13) * 0.0254, 1e-12));
  CHECK(first["groups"].size() == 2);
  CHECK(near(found["headers"][3]["secondary_length"], 16 * 0.0254, 1e-12));
}

TEST_CASE("case answers: what is wrong has line, key, value and what is allowed") {
  const std::string text = shipped("single-cylinder");
  const std::string wrong = replaced(text, "primary_length = \"800 mm\"", "primary_length = \"8\"");
  const json read = case_answer("read", {{"text", wrong}});
  CHECK(read["case"].is_null());
  REQUIRE(read["problems"].size() == 1);
  const json& problem = read["problems"][0];
  CHECK(problem["key"] == "header[1].primary_length");
  CHECK(problem["value"] == "\"8\"");
  const auto before = text.substr(0, text.find("primary_length"));
  CHECK(problem["line"] == 1 + std::count(before.begin(), before.end(), '\n'));
  CHECK(problem["allowed"].get<std::string>().find(" mm") != std::string::npos);
  CHECK(read["values"]["header"][0]["primary_length"] == "8");
  const json inch = case_answer("read", {{"text", wrong}, {"units", "inch"}});
  CHECK(inch["problems"][0]["allowed"].get<std::string>().find(" in") != std::string::npos);

  const json broken = case_answer("read", {{"text", "title = "}});
  CHECK(broken["values"].is_null());
  CHECK(broken["problems"][0]["line"] == 1);
}

TEST_CASE("case answers: edits are done in turn, and one that fails is named") {
  const std::string text = shipped("single-cylinder");
  const json done = edit(
      text,
      json::array({{{"set", "header[1].primary_length"}, {"value", "900 mm"}},
                   {{"set", "run.least_cycles"}, {"value", 5}},
                   {{"copy_header", "0.8 m"}, {"as", "long"}},
                   {{"rename_header", "1.2 m"}, {"as", "1200"}},
                   {{"remove_header", "megaphone"}},
                   {{"set", "notes"}, {"value", "two\nlines \"here\""}},
                   {{"append", "header[2].part"}, {"value", {{"kind", "pipe"}, {"length", "1 m"}}}},
                   {{"remove", "header[2].part[1]"}}}));
  REQUIRE_MESSAGE(!done.contains("error"), done.dump());
  const json read = case_answer("read", {{"text", done["text"]}});
  REQUIRE_MESSAGE(read["problems"].empty(), read["problems"].dump());
  std::vector<std::string> names;
  for (const json& header : read["case"]["headers"]) names.push_back(header["name"]);
  CHECK(names == std::vector<std::string>{"0.8 m", "long", "1200"});
  CHECK(near(read["case"]["headers"][0]["lengths"]["1"], 0.9, 1e-12));
  CHECK(near(read["case"]["headers"][1]["lengths"]["1"], 0.9, 1e-12));
  CHECK(read["values"]["run"]["least_cycles"] == 5);
  CHECK(read["case"]["notes"] == "two\nlines \"here\"");
  CHECK(!read["values"]["header"][1].contains("part"));

  const auto failed = [&](const json& one) {
    const json answer = edit(text, json::array({{{"set", "title"}, {"value", "t"}}, one}));
    CHECK(answer["edit"] == 1);
    return answer["error"].get<std::string>();
  };
  CHECK(failed({{"copy_header", "0.8 m"}, {"as", "1.2 m"}}).find("already") != std::string::npos);
  CHECK(failed({{"rename_header", "0.8 m"}, {"as", "1.2 m"}}).find("already") != std::string::npos);
  CHECK(failed({{"remove_header", "none"}}).find("no header") != std::string::npos);
  CHECK(failed({{"set", "header[9].name"}, {"value", "x"}}) != "");
  CHECK(failed({{"set", "title"}, {"value", nullptr}}) != "");
  CHECK(failed({{"turn", "title"}}) != "");
}

TEST_CASE("case answers: drawing and cutting sheet are those of the header") {
  const std::string text = shipped("hillclimb-v8");
  const json drawing = case_answer("drawing", {{"text", text}, {"header", "4-2-1"}});
  // Eight primaries, four secondaries, two collectors with their tails.
  CHECK(drawing["pipes"].size() == 14);
  CHECK(drawing["paths"].size() == 8);
  CHECK(drawing["groups"].size() == 2);
  CHECK(drawing["valve_events"]["firing"]["8"] == 90);
  const json sheet = case_answer("sheet", {{"text", text}, {"header", "4-2-1"}});
  CHECK(sheet["sheet"].is_object());
  for (const char* call : {"drawing", "sheet"}) {
    CHECK_THROWS(case_answer(call, {{"text", text}, {"header", "none"}}));
    CHECK_THROWS_AS(case_answer(call, {{"text", "title = 1"}, {"header", "none"}}),
                    cases::CaseError);
  }
}

TEST_CASE("case answers: stock tubes are sizes that a case file takes") {
  const json tubes = case_answer("stock_tubes", json::object())["tubes"];
  CHECK(tubes.size() > 20);
  for (const json& tube : tubes) {
    const cases::Tube read = cases::parse_tube(tube["text"].get<std::string>());
    CHECK(near(read.inside_diameter, tube["inside_diameter"], 1e-9));
    CHECK(near(read.wall, tube["wall"], 1e-9));
  }
}
