// Cutting sheets of small cases, against numbers worked by hand.
#include "tools/cutting/cut_sheet.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"
#include "tools/cutting/cut_sheet_text.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using std::numbers::pi;
using tests::inch;
using tests::near;

namespace {

// The sample V8 with one header of 32 in, and what is added to it and to [build].
cases::CaseFile sample(const std::string& of_header, const std::string& of_build = "") {
  std::string text = tests::sample_text();
  const std::size_t first = text.find("[[header]]");
  const std::size_t end = text.find("[run]");
  text = text.substr(0, first) +
         "[[header]]\nname = \"one\"\nkind = \"equal-length\"\n"
         "primary_tube = \"1-7/8 in OD, 16 ga\"\nprimary_length = \"32 in\"\n"
         "collector_tube = \"3-1/2 in OD, 16 ga\"\ncollector_length = \"16 in\"\n" +
         of_header + "\n" + text.substr(end) + "\n[build]\n" + of_build;
  return cases::read_case_text(text, "sample.toml");
}

CutSheet sheet_of(const cases::CaseFile& case_file, const MeasuredPaths& measured = {}) {
  return cut_sheet(case_file, case_file.headers.front(), measured, cases::MessageUnits::inch);
}

std::string refusal(const cases::CaseFile& case_file) {
  try {
    sheet_of(case_file);
  } catch (const cases::CaseError& error) {
    return error.what();
  }
  return "not refused";
}

// 3 pi/2 = 4.712 in of arc each: 7 + 4 + (20.575 - 3) = 28.575 of straights and 2 x 4.712, less
// than a thousandth off 38 in.
const std::string path_of_3 =
    "[[header.path]]\ncylinder = 3\nbend_radius = \"3 in\"\n"
    "x = [\"0 in\", \"10 in\", \"10 in\", \"10 in\"]\n"
    "y = [\"0 in\", \"0 in\", \"10 in\", \"10 in\"]\n"
    "z = [\"0 in\", \"0 in\", \"0 in\", \"14.575 in\"]\n";

}  // namespace

TEST_CASE("a tube without a path: bends of the case, and what is left is straight") {
  const cases::CaseFile case_file = sample(
      "bends = [{ angle = \"90 deg\", radius = \"3 in\" }, { angle = \"60 deg\", radius = \"4 in\" "
      "}]");
  const CutSheet sheet = sheet_of(case_file);
  REQUIRE(sheet.pages.size() == 2);
  CHECK(sheet.pages[0].bank == "left");
  REQUIRE(sheet.pages[0].tubes.size() == 4);
  const CutTube& tube = sheet.pages[0].tubes[0];
  CHECK(tube.name == "cylinder 1");
  REQUIRE(tube.pieces.size() == 3);
  // 32 in less 3 pi/2 and 4 pi/3.
  CHECK(near(tube.pieces[0].length, (32 - 1.5 * pi - 4 * pi / 3) * inch, 1e-9, 0));
  CHECK(near(tube.pieces[1].length, 1.5 * pi * inch, 1e-9, 0));
  CHECK(near(tube.made, 32 * inch, 1e-12, 0));
  // Bends to order: of 90 deg for the first, of 90 deg for the one of 60 deg, too, eight each.
  REQUIRE(sheet.bends.size() == 2);
  CHECK(sheet.bends[0].count == 8);
  CHECK(sheet.bends[0].angle_deg == 90);
  CHECK(sheet.bends[1].count == 8);
  CHECK(sheet.bends[1].angle_deg == 90);
  // Eight times the straight and three cuts of 1/8 in each; collectors of 16 in with a cut.
  REQUIRE(sheet.tubes.size() == 2);
  CHECK(near(sheet.tubes[0].length, 8 * ((32 - 1.5 * pi - 4 * pi / 3) + 3.0 / 8) * inch, 1e-9, 0));
  CHECK(near(sheet.tubes[1].length, 2 * (16 + 1.0 / 8) * inch, 1e-9, 0));
  REQUIRE(sheet.collectors.size() == 2);
  CHECK(near(sheet.tolerance, inch / 4, 1e-12, 0));
}

TEST_CASE("clocks round a collector are those of the drawing") {
  const CutSheet sheet = sheet_of(sample(""));
  // Firing 1-3-5-7 on the left bank: positions 1 to 4, the first at half past ten, then clockwise.
  const auto& tubes = sheet.pages[0].tubes;
  const double clocks[] = {315, 45, 135, 225};
  for (std::size_t i = 0; i < 4; ++i) {
    REQUIRE(tubes[i].clock_deg.has_value());
    CHECK(near(tubes[i].clock_deg.value_or(-1), clocks[i], 1e-12, 0));
    CHECK(tubes[i].collector == "left");
  }
  const nlohmann::json json = cut_sheet_json(sheet);
  CHECK(json["pages"][0]["tubes"][0]["clock"] == "10:30");
  CHECK(json["pages"][0]["tubes"][2]["clock"] == "4:30");
}

TEST_CASE(
    "a path in the case gives pieces in turn, with the rotation, checked against the length") {
  const CutSheet sheet = sheet_of(sample(path_of_3));
  const CutTube& tube = sheet.pages[0].tubes[1];
  CHECK(tube.name == "cylinder 3");
  CHECK(tube.has_path);
  REQUIRE(tube.pieces.size() == 5);
  CHECK(near(tube.pieces[0].length, 7 * inch, 1e-9, 0));
  CHECK(near(tube.pieces[2].length, 4 * inch, 1e-9, 0));
  CHECK(near(tube.pieces[4].length, 11.575 * inch, 1e-9, 0));
  CHECK(near(tube.pieces[3].bend.rotation_deg, 90, 1e-9, 0));
  // 22.575 + 9.425 = 32.000 in.
  CHECK(near(tube.made, 32 * inch, 0, 1e-5));
  CHECK(sheet.remarks.empty());
  const std::string text = cut_sheet_text(sheet, UnitSystem::inch);
  CHECK(text.find("1. straight 7 in") != std::string::npos);
  CHECK(text.find("bend 90 deg on 3 in radius, arc 4-11/16 in") != std::string::npos);
  CHECK(text.find("turned 90 deg clockwise") != std::string::npos);
  CHECK(text.find("11-9/16 in") != std::string::npos);
}

TEST_CASE(
    "measured points take the place of those of the case, and a length that is off is remarked") {
  const MeasuredPaths straight{{3, {{0, 0, 0}, {0, 0, 33 * inch}}}};
  const CutSheet sheet = sheet_of(sample(path_of_3), straight);
  CHECK(near(sheet.pages[0].tubes[1].made, 33 * inch, 1e-12, 0));
  REQUIRE(sheet.remarks.size() == 1);
  CHECK(sheet.remarks[0].find("cylinder 3: its pieces are 1 in longer than the 32 in") == 0);
  const MeasuredPaths unknown{{9, {{0, 0, 0}, {0, 0, 1}}}};
  CHECK_THROWS_AS(sheet_of(sample(""), unknown), cases::CaseError);
}

TEST_CASE("what cannot be bent names the tube and the point") {
  // Corners 5 in apart, bends of 3 in: 1 in too little.
  const std::string tight =
      "[[header.path]]\ncylinder = 5\nbend_radius = \"3 in\"\n"
      "x = [\"0 in\", \"10 in\", \"10 in\", \"20 in\"]\n"
      "y = [\"0 in\", \"0 in\", \"5 in\", \"5 in\"]\n"
      "z = [\"0 in\", \"0 in\", \"0 in\", \"0 in\"]\n";
  const cases::CaseFile case_file = sample(tight);
  const std::string said = refusal(case_file);
  CAPTURE(said);
  CHECK(said.find("cylinder 5") != std::string::npos);
  CHECK(said.find("the straight behind point 2 is 1 in shorter") != std::string::npos);
  // Without a radius the largest that fits is taken: 2 in of those that are sold.
  std::string free = tight;
  free.erase(free.find("bend_radius"), std::string("bend_radius = \"3 in\"\n").size());
  const CutSheet sheet = sheet_of(sample(free));
  CHECK(near(sheet.pages[0].tubes[2].pieces[1].bend.radius, 2.5 * inch, 1e-12, 0));
}

TEST_CASE("a radius that is not to be had") {
  const std::string bend = "bends = [{ angle = \"90 deg\", radius = \"3-1/4 in\" }]";
  const std::string said = refusal(sample(bend));
  CAPTURE(said);
  CHECK(said.find("bends of 3.25 in radius are not to be had of tube of 1-7/8 in OD, 16 ga") !=
        std::string::npos);
  const CutSheet sheet = sheet_of(sample(bend, "bend_radii = [\"3-1/4 in\"]\n"));
  CHECK(sheet.bends.front().count == 8);
  // Stock bends of 45 deg alone: two for each right angle.
  const CutSheet twice =
      sheet_of(sample(bend, "bend_radii = [\"3-1/4 in\"]\nbend_angles = [\"45 deg\"]\n"));
  CHECK(twice.bends.front().count == 16);
}

TEST_CASE("secondaries, and a network") {
  const cases::CaseFile v8 = cases::read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  const CutSheet paired =
      cut_sheet(v8, cases::find_header(v8, "4-2-1"), {}, cases::MessageUnits::metric);
  REQUIRE(paired.secondaries.size() == 4);
  CHECK(near(paired.secondaries[0].length, 16 * inch, 1e-12, 0));
  CHECK(!paired.pages[0].tubes[0].clock_deg.has_value());
}

TEST_CASE("text stays narrow, CSV has a row for each piece, cautions are on every sheet") {
  const CutSheet sheet = sheet_of(sample(path_of_3));
  for (const UnitSystem units : {UnitSystem::metric, UnitSystem::inch}) {
    const std::string text = cut_sheet_text(sheet, units);
    std::size_t width = 0;
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = text.find('\n', at);
      width = std::max(width, end - at);
      at = end + 1;
    }
    CHECK(width <= 80);
    CHECK(text.find("Carbon monoxide") != std::string::npos);
    CHECK(text.find("Local law") != std::string::npos);
  }
  const std::string csv = cut_sheet_csv(sheet, UnitSystem::inch);
  // A head, five pieces of cylinder 3 and one straight of each of the other seven.
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 1 + 5 + 7);
  CHECK(
      csv.find("left,cylinder 3,\"1-7/8 in OD, 16 ga\",4,bend,4.712,4-11/16 in,90.0,3.000,90.0") !=
      std::string::npos);
}
