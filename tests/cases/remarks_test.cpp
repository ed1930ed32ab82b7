// What can be simulated, but hardly any engine has: read, with a remark at its line.
#include <algorithm>
#include <doctest/doctest.h>
#include <string>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::contains;
using pulsewright::tests::line_of;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;
using pulsewright::tests::shipped_files;

namespace {

struct Remarked {
  const char* from;  // in the good text
  const char* to;    // what stands there instead
  const char* at;    // the remark is on the line of this text; "" = of `to`
  const char* key;
  const char* says;
};

const Remarked remarked_rows[] = {
    {"rod = \"150 mm\"", "rod = \"90 mm\"", "", "engine.rod", "is 1.18 times the stroke"},
    {"rod = \"150 mm\"", "rod = \"250 mm\"", "", "engine.rod", "is 3.27 times the stroke"},
    {"banks =",
     "intervals = [\"1 deg\", \"1 deg\", \"1 deg\", \"713 deg\", \"1 deg\", \"1 deg\", \"1 deg\", "
     "\"1 deg\"]\nbanks =",
     "intervals =", "engine.intervals", "1 deg apart, evenly it were 90 deg"},
    {"opens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
     "opens = \"130 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 mm\"", "opens = \"130",
     "exhaust_valve.cam.opens", "leave its seat 130 deg BBDC and meet it 40 deg ATDC"},
    {"closes = \"40 deg ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
     "closes = \"95 deg ATDC\"\nlift = \"14 mm\"", "closes = \"95", "exhaust_valve.cam.closes",
     "close 20 deg BTDC to 90 deg ATDC"},
    {"closes = \"74 deg ABDC\"\nlift = \"14 mm\"\nduration = \"252 deg\"",
     "closes = \"130 deg ABDC\"\nlift = \"14 mm\"", "closes = \"130", "intake_valve.cam.closes",
     "120 deg ABDC"},
    {"opens = \"42 deg BTDC\"\ncloses = \"74 deg ABDC\"\nlift = \"14 mm\"\nduration = \"252 deg\"",
     "opens = \"70 deg ATDC\"\ncloses = \"74 deg ABDC\"\nlift = \"14 mm\"", "opens = \"70",
     "intake_valve.cam.opens", "leave its seat 70 deg ATDC and meet it 74 deg ABDC"},
    {"lift = \"14 mm\"\nduration = \"256 deg\"\n\n[exhaust_valve.flow]\ndepression = \"28 "
     "inH2O\"\nlift = [\"0.1 in\", \"0.3 in\", \"0.5 in\"]",
     "lift = \"21 mm\"\n\n[exhaust_valve.flow]\ndepression = \"28 inH2O\"\nlift = [\"0.1 in\", "
     "\"0.3 in\", \"0.9 in\"]",
     "lift = \"21", "exhaust_valve.cam.lift", "0.54 times the diameter of the seat"},
    // An ideal nozzle of the curtain, pi x 39 mm x 2.54 mm, passes 72 cfm at 28 inches of water.
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"75 cfm\", \"168 cfm\", \"207 cfm\"]", "",
     "exhaust_valve.flow.forward", "the curtain (pi x seat diameter x lift) has 311.2 mm2"},
    // 141.6041 cfm per in2 at 28 inches of water: 262.2 cfm through the bore of 39 mm, 199.3 cfm
    // through a port of 34 mm.
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"307 cfm\"]", "",
     "exhaust_valve.flow.forward", "nozzle of the seat's bore passes 262.2 cfm, which is used"},
    {"port_diameter = \"40 mm\"", "port_diameter = \"34 mm\"", "forward = [\"68 cfm\"",
     "exhaust_valve.flow.forward", "has 907.9 mm2 (34 mm, exhaust.port_diameter in line "},
    {"closes = \"40 deg ATDC\"", "closes = \"40 deg ATDC\"\ncenterline = \"120 deg BTDC\"",
     "centerline", "exhaust_valve.cam.centerline", "9 deg from the middle"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"84 cfm\"]", "",
     "exhaust_valve.flow.forward", "falls to 50 % of what passes at less lift, at 12.7 mm"},
    {"[\"68 cfm\", \"168 cfm\", \"207 cfm\"]", "[\"68 cfm\", \"168 cfm\", \"150 cfm\"]", "",
     "exhaust_valve.flow.forward", "falls to 89 % of what passes at less lift"},
    {"opens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\nlift = \"14 mm\"\nduration = \"256 deg\"",
     "opens = \"40 deg BBDC\"\ncloses = \"9 deg ATDC\"\nlift = \"14 mm\"", "opens = \"40",
     "exhaust_valve.cam.opens", "for 229 deg only: as if it were the timing at 0.050 in of lift"},
    {"duration = \"256 deg\"", "duration = \"280 deg\"", "", "exhaust_valve.cam.duration",
     "at 1.27 mm is only 22 deg shorter than the 302 deg from opening to closing"},
    {"collector_tube = \"3-1/2 in OD", "collector_tube = \"2 in OD", "", "header[1].collector_tube",
     "has a bore of 47.5 mm, 1.07 times that of the 4 tubes"},
    {"collector_length = \"16 in\"",
     "collector_length = \"16 in\"\nmerge_diameter = \"46 mm\"\nmerge_cone_length = \"4 in\"",
     "merge_diameter", "header[1].merge_diameter",
     "chokes of merge collectors of 4 tubes have 1.3 to 1.5 times"},
    // Four tubes of 1.745 in have the area of one of 3.49 in.
    {"collector_length = \"16 in\"",
     "collector_length = \"16 in\"\nmerge_diameter = \"3.6 in\"\nmerge_cone_length = \"4 "
     "in\"\nmerge_inlet_length = \"3 in\"",
     "merge_diameter", "header[1].merge_diameter", "is wider than the 4 tubes before it together"},
    {"collector_tube = \"3-1/2 in OD", "collector_tube = \"5-1/2 in OD", "",
     "header[1].collector_tube", "collectors of 4 tubes have 1.7 to 2 times"},
    // Numbered across, and listed bank by bank: 1-8-4-3-6-5-7-2 then fires 6, 5 and 7 in
    // succession.
    {"banks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }",
     "banks = { left = [1, 2, 3, 4], right = [5, 6, 7, 8] }", "", "engine.banks",
     "cylinders 6, 5, 7 of one bank fire in succession"},
    {"primary_tube = \"1-7/8 in OD", "primary_tube = \"1-5/8 in OD", "", "header[1].primary_tube",
     "has a bore of 37.97 mm, less than the 40 mm of the port"},
    {"name = \"stepped-length\"\nkind = \"stepped-length\"\nprimary_tube = \"1-7/8 in OD, 16 "
     "ga\"\nshortest = \"28 in\"\nlongest = \"34 in\"",
     "name = \"twin\"\nkind = \"equal-length\"\nprimary_tube = \"1-7/8 in OD, 16 "
     "ga\"\nprimary_length = \"32 in\"",
     "name = \"twin\"", "header[2].name", "is the same network as \"equal-length\" in line "},
    {"kind = \"stepped-length\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nshortest = \"28 "
     "in\"\nlongest "
     "= \"34 in\"",
     "kind = \"4-2-1\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nprimary_length = \"18 "
     "in\"\nsecondary_tube = \"1-3/4 in OD, 16 ga\"\nsecondary_length = \"16 in\"",
     "secondary_tube", "header[2].secondary_tube",
     "0.93 times that of the 2 tubes that meet in it"},
    {"seat_diameter = \"49 mm\"", "seat_diameter = \"64 mm\"", "seat_diameter = \"39 mm\"",
     "exhaust_valve.seat_diameter", "do not fit beside each other into the bore of 102 mm"},
};

}  // namespace

TEST_CASE("what hardly any engine has is read with one remark at its line") {
  for (const Remarked& row : remarked_rows) {
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

TEST_CASE("eight cylinders without banks are remarked on where all of them share a collector") {
  std::string text =
      replaced(sample_text(), "banks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }\n", "");
  const auto second = text.find("[[header]]\nname = \"stepped-length\"");
  REQUIRE(second != std::string::npos);
  text.erase(second, text.find("[run]") - second);
  const auto remarks = read_case_text(text, "odd.toml").remarks;
  REQUIRE(remarks.size() == 1);
  CHECK(remarks[0].key == "engine.firing_order");
  CHECK(remarks[0].line == line_of(text, "firing_order"));
  CHECK(contains(remarks[0].message, "has 8 cylinders and no banks"));
  // Whoever lists the groups means them, and two collectors show that the banks are not forgotten.
  for (const char* groups : {"[[1, 2, 3, 4, 5, 6, 7, 8]]", "[[1, 3, 5, 7], [2, 4, 6, 8]]"}) {
    const std::string listed = replaced(text, "kind = \"equal-length\"",
                                        "kind = \"equal-length\"\ngroups = " + std::string(groups));
    CHECK(read_case_text(listed, "odd.toml").remarks.empty());
  }
}

TEST_CASE("collectors of three and five tubes are judged by their own number") {
  // By the share of the area: 0.6 sqrt(n) at least, 1.04 and 1.34 times a tube of 40 mm.
  const auto remarks_with = [](const char* engine, const char* collector) {
    std::string text =
        replaced(sample_text(),
                 "firing_order = [1, 8, 4, 3, 6, 5, 7, 2]\nbanks = { left = [1, 3, 5, "
                 "7], right = [2, 4, 6, 8] }",
                 engine);
    const auto first = text.find("[[header]]");
    text.replace(first, text.find("[run]") - first,
                 "[[header]]\nname = \"one\"\nkind = \"equal-length\"\nprimary_tube = \"42 mm "
                 "ID\"\nprimary_length = \"700 mm\"\ncollector_length = \"400 "
                 "mm\"\ncollector_tube = \"" +
                     std::string(collector) + "\"\n");
    return read_case_text(text, "odd.toml").remarks;
  };
  const char* three = "firing_order = [1, 3, 2]";
  const char* five = "firing_order = [1, 2, 4, 5, 3]";
  CHECK(remarks_with(three, "46 mm ID").empty());
  auto remarks = remarks_with(three, "43 mm ID");
  REQUIRE(remarks.size() == 1);
  CHECK(contains(remarks[0].advice, "collectors of 3 tubes have 1.5 to 1.7 times"));
  CHECK(remarks_with(five, "60 mm ID").empty());
  remarks = remarks_with(five, "54 mm ID");
  REQUIRE(remarks.size() == 1);
  CHECK(contains(remarks[0].advice, "collectors of 5 tubes have 1.9 to 2.2 times"));
}

TEST_CASE("firing order and banks of sixes") {
  const auto remarks_with = [](const char* engine) {
    std::string text =
        replaced(sample_text(),
                 "firing_order = [1, 8, 4, 3, 6, 5, 7, 2]\nbanks = { left = [1, 3, 5, "
                 "7], right = [2, 4, 6, 8] }",
                 engine);
    const auto second = text.find("[[header]]\nname = \"stepped-length\"");
    text.erase(second, text.find("[run]") - second);
    return read_case_text(text, "six.toml").remarks;
  };
  CHECK(
      remarks_with("firing_order = [1, 2, 3, 4, 5, 6]\nbanks = { left = [1, 3, 5], right = [2, 4, "
                   "6] }")
          .empty());
  const auto remarks = remarks_with(
      "firing_order = [1, 2, 3, 4, 5, 6]\nbanks = { left = [1, 2, 3], right = [4, 5, 6] }");
  REQUIRE(remarks.size() == 1);
  CHECK(remarks[0].key == "engine.banks");
  CHECK(contains(remarks[0].advice, "fire the banks in turn"));
}

TEST_CASE("secondaries whose cylinders fire close are remarked on") {
  // Bank 1-5-7-3 of the sample by gaps: 1 and 7, 5 and 3 are farther apart than neighbours.
  const auto remarks_with = [](const std::string& lists) {
    return read_case_text(
               replaced(
                   sample_text(),
                   "kind = \"stepped-length\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nshortest "
                   "= \"28 in\"\nlongest = \"34 in\"",
                   "kind = \"4-2-1\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nprimary_length = "
                   "\"18 in\"\nsecondary_tube = \"2-1/4 in OD, 16 ga\"\nsecondary_length = "
                   "\"16 in\"\nsecondaries = " +
                       lists),
               "pairs.toml")
        .remarks;
  };
  // Firing order 1-8-4-3-6-5-7-2: bank 1, 3, 5, 7 fires at 0, 270, 450, 540; bank 8, 4, 6, 2 at 90,
  // 180, 360, 630 deg.
  CHECK(remarks_with("[[1, 5], [3, 7], [8, 6], [4, 2]]").empty());
  const auto remarks = remarks_with("[[1, 3], [5, 7], [8, 6], [4, 2]]");
  REQUIRE(remarks.size() == 1);
  CHECK(remarks[0].key == "header[2].secondaries");
  CHECK(contains(remarks[0].message, "cylinders 5 and 7 share one, which fire 90 deg apart"));
  CHECK(contains(remarks[0].advice, "[1, 5], [3, 7] would be 270 deg apart"));
}

TEST_CASE("a small carburettor is remarked on") {
  // 305.2 in3 at 7500 rpm: 305.2 x 7500 / 3456 = 662 cfm.
  const auto remarks_with = [](const char* flow) {
    return read_case_text(replaced(sample_text(), "[intake]\n",
                                   "[intake]\nsource = \"plenum\"\nplenum_volume = \"4 L\"\n"
                                   "throttle_drop = \"1.5 inHg\"\nthrottle_flow = \"" +
                                       std::string(flow) + "\"\n"),
                          "carburettor.toml", MessageUnits::inch)
        .remarks;
  };
  CHECK(remarks_with("600 cfm").empty());
  const auto remarks = remarks_with("390 cfm");
  REQUIRE(remarks.size() == 1);
  CHECK(remarks[0].key == "intake.throttle_flow");
  CHECK(contains(remarks[0].message, "passes 390 cfm at 1.5 inHg, 59 % of the 662 cfm"));
}

TEST_CASE("a 180-degree header that crosses nothing is remarked on") {
  const std::string crossed =
      replaced(sample_text(), "kind = \"equal-length\"", "kind = \"180-degree\"");
  CHECK(read_case_text(crossed, "odd.toml").remarks.empty());
  // A flat-plane crank: every collector gets a bank.
  std::string flat = replaced(crossed,
                              "firing_order = [1, 8, 4, 3, 6, 5, 7, 2]\nbanks = { left = [1, 3, 5, "
                              "7], right = [2, 4, 6, 8] }",
                              "firing_order = [1, 5, 3, 7, 4, 8, 2, 6]\nbanks = { right = [1, 2, "
                              "3, 4], left = [5, 6, 7, 8] }");
  const auto second = flat.find("[[header]]\nname = \"stepped-length\"");
  REQUIRE(second != std::string::npos);
  flat.erase(second, flat.find("[run]") - second);
  const auto remarks = read_case_text(flat, "odd.toml").remarks;
  REQUIRE(remarks.size() == 1);
  CHECK(remarks[0].key == "header[1].kind");
  CHECK(contains(remarks[0].message, "is the same pipework as \"equal-length\""));
}

TEST_CASE("two tubes may meet in one of their own size") {
  // A 4-2-1 header whose secondaries are as wide as its primaries.
  const std::string text =
      replaced(sample_text(),
               "kind = \"stepped-length\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nshortest = \"28 "
               "in\"\nlongest = \"34 in\"",
               "kind = \"4-2-1\"\nprimary_tube = \"1-7/8 in OD, 16 ga\"\nprimary_length = \"18 "
               "in\"\nsecondary_tube = \"1-7/8 in OD, 16 ga\"\nsecondary_length = \"16 in\"");
  REQUIRE(!text.empty());
  CHECK(read_case_text(text, "odd.toml").remarks.empty());
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
