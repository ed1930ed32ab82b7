// Points of tubes from a CSV.
#include "tools/cutting/measured_points.hpp"

#include <doctest/doctest.h>
#include <string>

#include "cases/case_error.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using tests::inch;
using tests::near;
using tools::MeasuredPaths;

namespace {

std::string refusal(const std::string& text) {
  try {
    tools::measured_points(text, "wire.csv");
  } catch (const cases::CaseError& error) {
    return error.what();
  }
  return "not refused";
}

bool says(const std::string& text, const std::string& part) {
  CAPTURE(text);
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("points with units in the cells, or in the first row") {
  const auto cells = tools::measured_points(
                         "# a comment\ncylinder,x,y,z\n1,0 in,0 in,0 in\n1,4-1/2 in,0 mm,-25.4 "
                         "mm\r\n3,0 m,0 m,1 m\n",
                         "wire.csv")
                         .points;
  REQUIRE(cells.size() == 2);
  REQUIRE(cells.at(1).size() == 2);
  CHECK(near(cells.at(1)[1].x(), 4.5 * inch, 1e-12, 0));
  CHECK(near(cells.at(1)[1].z(), -inch, 1e-12, 0));
  CHECK(near(cells.at(3)[0].z(), 1, 1e-12, 0));
  const auto head =
      tools::measured_points("z (mm), x (in), y (in), cylinder\n5, -1.5, 2, 8\n", "w").points;
  CHECK(near(head.at(8)[0].x(), -1.5 * inch, 1e-12, 0));
  CHECK(near(head.at(8)[0].z(), 0.005, 1e-12, 0));
}

TEST_CASE("files as spreadsheets write them: the mark of UTF-8, and quotes as sign of the inch") {
  const std::string mark = "\xef\xbb\xbf";
  const MeasuredPaths paths = tools::measured_points(
      mark + "cylinder,x (mm),\"y [mm]\",z (mm)\r\n1,4-1/2\",\"4-1/2\"\"\",10\r\n", "wire.csv");
  CHECK(paths.file == "wire.csv");
  const auto& points = paths.points;
  // 4-1/2 in = 114.3 mm, whatever bare numbers of the column are.
  CHECK(near(points.at(1)[0].x(), 114.3e-3, 1e-12, 0));
  CHECK(near(points.at(1)[0].y(), 114.3e-3, 1e-12, 0));
  CHECK(near(points.at(1)[0].z(), 10e-3, 1e-12, 0));
}

TEST_CASE("a wrong file is refused with its line and column") {
  CHECK(says(refusal("cylinder,x,y,z\n1,0 in,0 in,0 in\n1,1,0 in,0 in\n"), "wire.csv:3: x = 1"));
  CHECK(says(refusal("cylinder,x,y,z\n1,1,0 in,0 in\n"), "has no unit"));
  CHECK(says(refusal("cylinder,x,y,z\none,1 in,0 in,0 in\n"), "wire.csv:2: cylinder"));
  CHECK(says(refusal("cylinder,x,y\n"), "wire.csv:1: columns"));
  CHECK(says(refusal("cylinder,x,y,w\n"), "is not known"));
  CHECK(says(refusal("cylinder,x,x,z\n"), "is there twice"));
  CHECK(says(refusal("cylinder,x,y,z\n1,0 in,0 in\n"), "has 3 cells"));
  CHECK(says(refusal("cylinder,x,y,z\n1,\"0 in,0 in,0 in\n"), "a double quote stays open"));
  CHECK(says(refusal(""), "has no points"));
  CHECK(says(refusal("cylinder,x,y,z\n1,0 in,0 in,0 in\n2,0 in,0 in,0 in\n1,1 in,0 in,0 in\n"),
             "follow each other"));
}
