// What the header builders make of a case: pipes, merges, directions, paths, profiles.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/header_parts.hpp"
#include "models/boundary/merge_place.hpp"
#include "models/network/symmetry.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

CaseFile demo() { return read_case_file(tests::shipped_folder() / "hillclimb-v8.toml"); }

const models::JunctionSpecification& junction(const models::EngineSpecification& engine,
                                              const std::string& name) {
  const auto found = std::find_if(engine.junctions.begin(), engine.junctions.end(),
                                  [&](const auto& j) { return j.name == name; });
  REQUIRE(found != engine.junctions.end());
  return *found;
}

const models::PipeSpecification& pipe(const models::EngineSpecification& engine,
                                      const std::string& name) {
  const auto found = std::find_if(engine.pipes.begin(), engine.pipes.end(),
                                  [&](const auto& p) { return p.name == name; });
  REQUIRE(found != engine.pipes.end());
  return *found;
}

std::vector<std::string> path_names(const models::EngineSpecification& engine, std::size_t i) {
  std::vector<std::string> out;
  for (const int index : engine.exhaust_paths[i].pipes) {
    out.push_back(engine.pipes[static_cast<std::size_t>(index)].name);
  }
  return out;
}

using Names = std::vector<std::string>;

}  // namespace

TEST_CASE("a bank's merge: tubes at the merge angle, firing in rotation round the axis") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, find_header(case_file, "equal-length"));
  const auto& merge = junction(engine, "merge left");
  REQUIRE(merge.branches.size() == 5);
  const Names expected{"primary 1", "primary 3", "primary 5", "primary 7", "collector left"};
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (std::size_t i = 0; i < 5; ++i) {
    const auto& branch = merge.branches[i];
    CHECK(engine.pipes[static_cast<std::size_t>(branch.end.pipe)].name == expected[i]);
    if (i == 4) continue;
    CHECK(branch.end.side == models::Side::right);
    CHECK(near(branch.direction.x(), -std::cos(12 * std::numbers::pi / 180), 1e-12));
    const double place = std::atan2(branch.direction.z(), branch.direction.y());
    CHECK(near(std::cos(place), std::cos(static_cast<double>(i) * std::numbers::pi / 2), 0, 1e-12));
    sum += branch.direction;
  }
  CHECK(near(sum.y(), 0, 0, 1e-12));
  CHECK(near(sum.z(), 0, 0, 1e-12));
  CHECK(merge.branches[4].direction == Eigen::Vector3d::UnitX());
  CHECK(path_names(engine, 2) == Names{"primary 3", "collector left"});
}

TEST_CASE("the port is the first part of a primary, the tube length counts from the flange") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, find_header(case_file, "equal-length"));
  const auto& primary = pipe(engine, "primary 1");
  // Measured to the crotch; the tube goes on to the merge behind it, at the half angle of 12 deg.
  const double bore = 1.745 * 0.0254;
  const double behind = models::merge_behind_crotch(bore, models::JunctionLaw::momentum);
  CHECK(near(primary.length, 0.075 + 32 * 0.0254 + behind / std::cos(12 * std::numbers::pi / 180),
             1e-12));
  REQUIRE(primary.profile.size() == 4);
  CHECK(near(primary.profile[1].x, 0.075, 1e-12));
  CHECK(near(primary.profile[1].diameter, 0.040, 1e-12));
  CHECK(near(primary.profile[3].diameter, 1.745 * 0.0254, 1e-12));
  CHECK(near(primary.wall.thickness, 0.065 * 0.0254, 1e-12));
  CHECK(primary.bends.size() == 2);
  // Coolant holds the wall of the port, the default temperature where the case says nothing.
  CHECK(near(primary.cooled_length, 0.075, 1e-12));
  CHECK(primary.cooled_temperature == 500);
  CHECK(pipe(engine, "collector left").cooled_length == 0);
}

TEST_CASE("stepped lengths of the demo") {
  const CaseFile case_file = demo();
  const HeaderDesign& header = find_header(case_file, "stepped-length");
  const std::map<int, double> inches{{1, 32}, {2, 30}, {3, 30}, {4, 34},
                                     {5, 28}, {6, 32}, {7, 34}, {8, 28}};
  for (const auto& [number, length] : inches) {
    const int cylinder = number;
    CAPTURE(cylinder);
    CHECK(near(header.primary_length.at(cylinder), length * 0.0254, 1e-12));
  }
}

TEST_CASE("180-degree collectors take from both banks") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, find_header(case_file, "180-degree"));
  CHECK(path_names(engine, 0) == Names{"primary 1", "collector A"});
  CHECK(path_names(engine, 3) == Names{"primary 4", "collector A"});
  CHECK(path_names(engine, 2) == Names{"primary 3", "collector B"});
}

TEST_CASE("which cylinders of the demo's headers are the same by symmetry") {
  // Gaps of 180 deg at either collector of the 180-degree header: each cylinder is the next of the
  // firing order 90 deg later. By banks one bank is the other a revolution later, where the lengths
  // of the tubes follow from the bank's own firing order.
  const CaseFile case_file = demo();
  const auto turn = [&](const char* header) {
    const auto symmetry =
        models::symmetry_of(build_engine(case_file, find_header(case_file, header)));
    return symmetry ? symmetry->turn : 0.0;
  };
  CHECK(turn("180-degree") == 90);
  for (const char* name : {"equal-length", "stepped-length", "4-2-1", "divided-collector"}) {
    CAPTURE(name);
    CHECK(turn(name) == 360);
  }
}

TEST_CASE("4-2-1: 270 deg apart on a cross-plane bank, secondaries on the way") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, find_header(case_file, "4-2-1"));
  CHECK(path_names(engine, 0) == Names{"primary 1", "secondary 1+5", "collector left"});
  CHECK(path_names(engine, 3) == Names{"primary 4", "secondary 4+2", "collector right"});
  CHECK(junction(engine, "merge 1+5").branches.size() == 3);
  CHECK(junction(engine, "merge left").branches.size() == 3);
  // From crotch to crotch: the way from pair to collector does not depend on where the pipes meet.
  const auto law = models::JunctionLaw::momentum;
  const double slope = std::cos(12 * std::numbers::pi / 180);
  const double pair = models::merge_behind_crotch(1.745 * 0.0254, law);
  const double last = models::merge_behind_crotch(2.120 * 0.0254, law);
  CHECK(near(pipe(engine, "primary 1").length, 0.075 + 18 * 0.0254 + pair / slope, 1e-12));
  CHECK(near(pipe(engine, "secondary 1+5").length, 16 * 0.0254 - pair + last / slope, 1e-12));
  CHECK(near(pipe(engine, "collector left").length, (16 + 20) * 0.0254 - last, 1e-12));
}

TEST_CASE(
    "divided collector: two D-shaped halves of half the area, parallel at the end of the wall") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, find_header(case_file, "divided-collector"));
  const auto& half = pipe(engine, "half left 1+5");
  const auto& collector = pipe(engine, "collector left");
  const double full = 3.370 * 0.0254;
  CHECK(near(half.profile.front().diameter, full / std::numbers::sqrt2, 1e-12));
  const double behind = models::merge_behind_crotch(1.745 * 0.0254, models::JunctionLaw::momentum);
  CHECK(near(half.length, 8 * 0.0254 - behind, 1e-12));
  CHECK(near(half.length + collector.length, (16 + 20) * 0.0254 - behind, 1e-12));
  // Hydraulic diameter of a half circle: 4 A / perimeter = pi d / (pi + 2).
  const double hydraulic = half.hydraulic_ratio * half.profile.front().diameter;
  const double area = std::numbers::pi * full * full / 8;
  const double perimeter = full + std::numbers::pi * full / 2;
  CHECK(near(hydraulic, 4 * area / perimeter, 1e-12));
  const auto& end = junction(engine, "wall end left");
  REQUIRE(end.branches.size() == 3);
  CHECK(end.branches[0].direction == -Eigen::Vector3d::UnitX());
  CHECK(end.branches[1].direction == -Eigen::Vector3d::UnitX());
  CHECK(end.branches[2].direction == Eigen::Vector3d::UnitX());
  CHECK(path_names(engine, 4) == Names{"primary 5", "half left 1+5", "collector left"});
  CHECK(path_names(engine, 6) == Names{"primary 7", "half left 3+7", "collector left"});
}

TEST_CASE("firing angles and banks of the demo") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, case_file.headers.front());
  const double expected[] = {0, 630, 270, 180, 450, 360, 540, 90};
  for (std::size_t i = 0; i < 8; ++i) {
    CHECK(engine.cylinders[i].number == static_cast<int>(i) + 1);
    CHECK(near(engine.cylinders[i].firing_angle_deg, expected[i], 0, 1e-9));
    CHECK(engine.cylinders[i].bank == static_cast<int>(i % 2));
  }
}

TEST_CASE("outlets stand apart") {
  const CaseFile case_file = demo();
  const auto engine = build_engine(case_file, case_file.headers.front());
  std::vector<double> places;
  for (const auto& end : engine.open_ends) {
    if (end.end.side == models::Side::right) places.push_back(end.position.y());
  }
  REQUIRE(places.size() == 2);
  CHECK(near(places[0], -0.6, 1e-12));
  CHECK(near(places[1], 0.6, 1e-12));
}

TEST_CASE("a plenum joins the runners") {
  const CaseFile case_file = read_case_file(tests::shipped_folder() / "inline-four.toml");
  const auto engine = build_engine(case_file, case_file.headers.front());
  const auto& plenum = junction(engine, "plenum");
  CHECK(plenum.law == models::JunctionLaw::plenum);
  CHECK(plenum.branches.size() == 4);
  CHECK(near(plenum.volume, 0.005, 1e-12));
  CHECK(near(plenum.vent_area, 28e-4, 1e-12));
  const auto paired = build_engine(case_file, find_header(case_file, "4-2-1"));
  CHECK(path_names(paired, 0) == Names{"primary 1", "secondary 1+4", "collector all"});
  CHECK(path_names(paired, 1) == Names{"primary 2", "secondary 3+2", "collector all"});
}

TEST_CASE("the place of the merge follows the law, as measured the pipes meet at the crotch") {
  const CaseFile case_file = demo();
  const HeaderDesign& header = find_header(case_file, "equal-length");
  BuildOptions options;
  const auto length = [&](const char* name) {
    const auto engine = build_engine(case_file, header, options);
    return pipe(engine, name).length;
  };
  options.law = models::JunctionLaw::plenum;
  const double behind = 0.65 * 1.745 * 0.0254;
  const double slope = std::cos(12 * std::numbers::pi / 180);
  CHECK(near(length("primary 1"), 0.075 + 32 * 0.0254 + behind / slope, 1e-12));
  CHECK(near(length("collector left"), 36 * 0.0254 - behind, 1e-12));
  options.as_measured = true;
  CHECK(near(length("primary 1"), 0.075 + 32 * 0.0254, 1e-12));
  CHECK(near(length("collector left"), 36 * 0.0254, 1e-12));
}

TEST_CASE("merge cone, collector, tail cone and tail make one profile, cut at given places") {
  HeaderDesign header;
  header.collector_tube.inside_diameter = 0.08;
  header.collector_length = 0.4;
  header.merge_diameter = 0.07;
  header.merge_cone_length = 0.1;
  header.tail_tube.inside_diameter = 0.06;
  header.tail_length = 0.5;
  header.tail_cone_length = 0.05;
  const auto profile = collector_profile(header);
  REQUIRE(profile.size() == 5);
  CHECK(near(profile.back().x, 0.9, 1e-12));
  const auto piece = cut_profile(profile, 0.05, 0.425);
  REQUIRE(piece.size() == 4);
  CHECK(near(piece[0].diameter, 0.075, 1e-12));
  CHECK(near(piece[1].x, 0.05, 1e-12));
  CHECK(near(piece[2].x, 0.35, 1e-12));
  CHECK(near(piece[3].x, 0.375, 1e-12));
  CHECK(near(piece[3].diameter, 0.07, 1e-12));
}

TEST_CASE("single lengths, given groups and pipes that default their directions") {
  std::string text = tests::replaced(tests::sample_text(), "primary_length = \"32 in\"",
                                     "primary_length = \"32 in\"\nlengths = { 3 = \"30-1/2 in\" }\n"
                                     "groups = [[1, 2, 3, 4], [5, 6, 7, 8]]");
  const CaseFile case_file = read_case_text(text, "sample.toml");
  const HeaderDesign& header = case_file.headers.front();
  CHECK(near(header.primary_length.at(3), 30.5 * 0.0254, 1e-12));
  CHECK(near(header.primary_length.at(1), 32 * 0.0254, 1e-12));
  REQUIRE(header.groups.size() == 2);
  CHECK(header.groups[0].cylinders == std::vector<int>{1, 4, 3, 2});
  const CaseFile pipes = read_case_text(tests::sample_pipes(), "pipes.toml");
  const auto network = build_engine(pipes, pipes.headers.front());
  const auto& node = junction(network, "J");
  REQUIRE(node.branches.size() == 3);
  CHECK(near(node.branches[0].direction.y(), std::sin(12 * std::numbers::pi / 180), 1e-12));
  CHECK(near(node.branches[1].direction.y(), -std::sin(12 * std::numbers::pi / 180), 1e-12));
  CHECK(node.branches[2].direction == Eigen::Vector3d::UnitX());
}

TEST_CASE("valves of the demo: events, areas of each direction") {
  const CaseFile case_file = demo();
  const auto& exhaust = case_file.exhaust_valve;
  // 82 deg BBDC = 98 deg, 40 deg ATDC = 400 deg; lash moves both inwards.
  CHECK(exhaust.opens_deg > 98);
  CHECK(exhaust.opens_deg < 120);
  CHECK(exhaust.closes_deg < 400);
  CHECK(exhaust.closes_deg > 375);
  CHECK(case_file.intake_valve.opens_deg > 318);
  CHECK(case_file.intake_valve.closes_deg < 614);
  // Forward is out of the cylinder for the exhaust valve and into it for the intake valve.
  CHECK(exhaust.forward.area.back() > exhaust.reverse.area.back());
  CHECK(case_file.intake_valve.forward.area.back() > case_file.intake_valve.reverse.area.back());
}
