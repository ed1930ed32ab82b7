// Points of tubes from a CSV: what was measured along a bent wire that shows the way of each tube.
//
//   cylinder,x,y,z
//   1,0 in,0 in,0 in
//   1,4-1/2 in,0 in,0 in
//
// The first row names the columns, in any order. A value has its unit, or the name of its column
// has, in brackets, for bare numbers: "x (mm)". The points of a cylinder follow each other from the
// flange to the collector: the ends and, between them, where the axes of two straights meet.
#pragma once

#include <Eigen/Core>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace pulsewright::tools {

// They take the place of the paths of a case.
struct MeasuredPaths {
  std::string file;                                    // that they are from, for messages
  std::map<int, std::vector<Eigen::Vector3d>> points;  // by cylinder, m
};

// Throws cases::CaseError with line and column: columns that are missing or unknown, cells that are
// no number or length, a quote that stays open, a cylinder whose rows are torn apart.
MeasuredPaths measured_points(std::string_view text, const std::string& file);

}  // namespace pulsewright::tools
