// What can be simulated, but hardly any engine has: read, with a remark at its line.
// Compiled on its own in a unity build: other files have names Row and contains of their own.
#include <algorithm>
#include <doctest/doctest.h>
#include <string>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::line_of;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;
using pulsewright::tests::shipped_files;

namespace {

struct Row {
  const char* from;  // in the good text
  const char* to;    // what stands there instead
  const char* at;    // the remark is on the line of this text; "" = of `to`
  const char* key;
  const char* says;
};

const Row rows[] = {
    {"rod = \"150 mm\"", "rod = \"90 mm\"", "", "engine.rod", "is 1.18 times the stroke"},
    {"rod = \"150 mm\"", "rod = \"250 mm\"", "", "engine.rod", "is 3.27 times the stroke"},
    {"banks =",
     "intervals = [\"1 deg\", \"1 deg\", \"1 deg\", \"713 deg\", \"1 deg\", \"1 deg\", \"1 deg\", "
     "\"1 deg\"]\nbanks =",
     "intervals =", "engine.intervals", "1 deg apart, evenly it were 90 deg"},
    {"opens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
     "opens = \"130 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 mm\"", "opens = \"130",
     "exhaust_valve.cam.opens", "from 50 to 400 deg after firing dead centre"},
    {"closes = \"40 deg ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
     "closes = \"95 deg ATDC\"\nlift = \"14 mm\"", "closes = \"95", "exhaust_valve.cam.closes",
     "close 20 deg BTDC to 90 deg ATDC"},
    {"closes = \"74 deg ABDC\"\nlift = \"14 mm\"\nduration = \"252 deg\"",
     "closes = \"130 deg ABDC\"\nlift = \"14 mm\"", "closes = \"130", "intake_valve.cam.closes",
     "120 deg ABDC"},
    {"opens = \"42 deg BTDC\"\ncloses = \"74 deg ABDC\"\nlift = \"14 mm\"\nduration = \"252 deg\"",
     "opens = \"70 deg ATDC\"\ncloses = \"74 deg ABDC\"\nlift = \"14 mm\"", "opens = \"70",
     "intake_valve.cam.opens", "from 430 to 614 deg"},
    {"lift = \"14 mm\"\nduration = \"256 deg\"\n\n[exhaust_valve.flow]\ndepression = \"28 "
     "inH2O\"\nlift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]",
     "lift = \"21 mm\"\n\n[exhaust_valve.flow]\ndepression = \"28 inH2O\"\nlift = [\"0.1 in\", "
     "\"0.3 in\", \"0.9 in\"]",
     "lift = \"21", "exhaust_valve.cam.lift", "0.54 times the diameter of the seat"},
    // An ideal nozzle of the curtain, pi x 39 mm x 2.54 mm, passes 72 cfm at 28 inches of water.
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"75 cfm\", \"168 cfm\", \"207 cfm\"]", "",
     "exhaust_valve.flow.forward", "the curtain (pi x seat diameter x lift) has 311.2 mm2"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"84 cfm\"]", "",
     "exhaust_valve.flow.forward", "falls to 50 % of what passes at less lift, at 12.7 mm"},
    {"seat_diameter = \"49 mm\"", "seat_diameter = \"64 mm\"", "seat_diameter = \"39 mm\"",
     "exhaust_valve.seat_diameter", "do not fit beside each other into the bore of 102 mm"},
};

bool contains(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("what hardly any engine has is read with one remark at its line") {
  for (const Row& row : rows) {
    CAPTURE(std::string(row.to));
    const std::string text = replaced(sample_text(), row.from, row.to);
    REQUIRE(!text.empty());
    const CaseFile case_file = read_case_text(text, "odd.toml");
    REQUIRE(case_file.remarks.size() == 1);
    const Problem& remark = case_file.remarks.front();
    CAPTURE(to_text(remark));
    CHECK(remark.file == "odd.toml");
    CHECK(remark.key == row.key);
    CHECK(remark.line == line_of(text, *row.at != '\0' ? row.at : row.to));
    CHECK(!remark.value.empty());
    CHECK(contains(remark.message + " " + remark.advice, row.says));
    CHECK(!remark.advice.empty());
  }
}

TEST_CASE("remarks stand in the order of their lines") {
  std::string text =
      replaced(sample_text(), "seat_diameter = \"49 mm\"", "seat_diameter = \"64 mm\"");
  text = replaced(text, "rod = \"150 mm\"", "rod = \"90 mm\"");
  const auto remarks = read_case_text(text, "odd.toml").remarks;
  REQUIRE(remarks.size() == 2);
  CHECK(remarks[0].key == "engine.rod");
  CHECK(remarks[1].key == "exhaust_valve.seat_diameter");
}

TEST_CASE("the sample and the shipped cases have nothing to remark on") {
  CHECK(read_case_text(sample_text(), "good.toml").remarks.empty());
  for (const auto& file : shipped_files()) {
    CAPTURE(file.string());
    CHECK(read_case_file(file).remarks.empty());
  }
}
