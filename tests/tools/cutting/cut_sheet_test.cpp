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

std::string refusal(const cases::CaseFile& case_file, const MeasuredPaths& measured = {}) {
  try {
    sheet_of(case_file, measured);
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
  const MeasuredPaths straight{"wire.csv", {{3, {{0, 0, 0}, {0, 0, 33 * inch}}}}};
  const CutSheet sheet = sheet_of(sample(path_of_3), straight);
  CHECK(near(sheet.pages[0].tubes[1].made, 33 * inch, 1e-12, 0));
  REQUIRE(sheet.remarks.size() == 1);
  CHECK(sheet.remarks[0].find("cylinder 3: its pieces are 1 in longer than the 32 in") == 0);
  const MeasuredPaths unknown{"wire.csv", {{9, {{0, 0, 0}, {0, 0, 1}}}}};
  CHECK(refusal(sample(""), unknown).find("wire.csv: ") == 0);
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
  // Without a radius the largest that fits is taken: 2-1/2 in of those that are sold.
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

TEST_CASE("points that were measured are named by their own file, and so is what to do") {
  const std::vector<Eigen::Vector3d> tight{
      {0, 0, 0}, {10 * inch, 0, 0}, {10 * inch, 3 * inch, 0}, {20 * inch, 3 * inch, 0}};
  const std::string said = refusal(sample(""), {"wire.csv", {{5, tight}}});
  CAPTURE(said);
  CHECK(said.find("wire.csv: ") == 0);
  CHECK(said.find("cylinder 5") != std::string::npos);
  CHECK(said.find("build.bend_radii of the case") != std::string::npos);
  CHECK(said.find("bend_radius") == std::string::npos);
}

TEST_CASE("bends in a tube that changes size are remarked, with a path or without") {
  const std::string steps = "primary_steps = [{ at = \"12 in\", tube = \"2 in OD, 16 ga\" }]\n";
  const std::string bends = "bends = [{ angle = \"90 deg\", radius = \"3 in\" }]\n";
  const auto remarks = [](const CutSheet& sheet) {
    return std::count_if(sheet.remarks.begin(), sheet.remarks.end(), [](const std::string& one) {
      return one.find("the tube changes size on its way") != std::string::npos;
    });
  };
  CHECK(remarks(sheet_of(sample(steps + bends))) == 8);
  CHECK(remarks(sheet_of(sample(steps))) == 0);
  CHECK(remarks(sheet_of(sample(bends))) == 0);
  CHECK(remarks(sheet_of(sample(steps + path_of_3))) == 1);
}

TEST_CASE("bends of one size are ordered together, whatever their unit") {
  // 76.2 mm and a hundredth more.
  const CutSheet sheet = sheet_of(
      sample("bends = [{ angle = \"90 deg\", radius = \"3 in\" }, { angle = \"90 deg\", radius = "
             "\"76.21 mm\" }]\n",
             "bend_radii = [\"3 in\", \"76.21 mm\", \"4 in\"]\n"));
  REQUIRE(sheet.bends.size() == 1);
  CHECK(sheet.bends.front().count == 16);
  const cases::CaseFile case_file = sample("", "bend_radii = [\"3 in\", \"76.21 mm\", \"4 in\"]\n");
  CHECK(case_file.bend_stock.radii.size() == 2);
}

TEST_CASE("collectors in a Y have one tail, and what is not in the sheet is said") {
  const cases::CaseFile street = cases::read_case_file(tests::shipped_folder() / "street-v8.toml");
  const auto of = [&](const char* name) {
    return cut_sheet(street, cases::find_header(street, name), {}, cases::MessageUnits::inch);
  };
  const auto ordered = [](const CutSheet& sheet, double outside) {
    double length = 0;
    for (const OrderedTube& one : sheet.tubes) {
      if (near(one.tube.inside_diameter + 2 * one.tube.wall, outside, 1e-6, 0))
        length += one.length;
    }
    return length;
  };
  // One tail of 4 in tube, 40 in long, with a cut of 1/8 in.
  const CutSheet joined = of("4-2-1 into a Y");
  REQUIRE(joined.shared_tail.has_value());
  CHECK(near(ordered(joined, 4 * inch), (40 + 1.0 / 8) * inch, 1e-9, 0));
  CHECK(joined.collectors.front().tail_tube.inside_diameter == 0);
  const std::string text = cut_sheet_text(joined, UnitSystem::inch);
  CHECK(text.find("tail in which the collectors meet: 4 in OD, 16 ga, 40 in") != std::string::npos);
  CHECK(
      near(cut_sheet_json(joined)["shared_tail"]["length"]["m"].get<double>(), 40 * inch, 1e-9, 0));
  // Two tails of 3 in tube, 60 in long, and an H between the collectors.
  const CutSheet apart = of("H");
  CHECK(!apart.shared_tail.has_value());
  CHECK(cut_sheet_json(apart)["shared_tail"].is_null());
  CHECK(near(ordered(apart, 3 * inch), 2 * (60 + 1.0 / 8) * inch, 1e-9, 0));
  const auto remarked = [](const CutSheet& sheet, const char* what) {
    return std::any_of(sheet.remarks.begin(), sheet.remarks.end(),
                       [&](const std::string& one) { return one.find(what) != std::string::npos; });
  };
  CHECK(remarked(apart, "balance pipes"));
  CHECK(!remarked(joined, "balance pipes"));
  const cases::CaseFile parts =
      cases::read_case_file(tests::shipped_folder() / "carburettor-v8.toml");
  for (const cases::HeaderDesign& header : parts.headers) {
    CAPTURE(header.name);
    const CutSheet sheet = cut_sheet(parts, header, {}, cases::MessageUnits::inch);
    CHECK(remarked(sheet, "parts behind the collectors") == !header.parts.empty());
  }
}

TEST_CASE("secondaries, and a network") {
  const cases::CaseFile v8 = cases::read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  const CutSheet paired =
      cut_sheet(v8, cases::find_header(v8, "4-2-1"), {}, cases::MessageUnits::metric);
  REQUIRE(paired.secondaries.size() == 4);
  CHECK(near(paired.secondaries[0].length, 16 * inch, 1e-12, 0));
  CHECK(!paired.pages[0].tubes[0].clock_deg.has_value());
  const cases::CaseFile single =
      cases::read_case_file(tests::shipped_folder() / "single-cylinder.toml");
  CHECK_THROWS_AS(
      cut_sheet(single, cases::find_header(single, "megaphone"), {}, cases::MessageUnits::metric),
      cases::CaseError);
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
