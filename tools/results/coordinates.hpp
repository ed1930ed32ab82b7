// The coordinates of a header's group in a results file: what its dimensions mean and how long they
// are, from which it is laid out and FORMAT.md is tested.
#pragma once

#include <cstddef>
#include <string>
#include <variant>
#include <vector>

#include "tools/results/study_plan.hpp"
#include "tools/results/variables.hpp"

namespace pulsewright::tools {

struct Coordinate {
  std::string name;
  std::string dimension;  // which it lies along: its own, if it is called like that
  std::string units;      // UDUNITS spelling; empty where a unit makes no sense
  std::string long_name;
  std::variant<std::vector<double>, std::vector<int>, std::vector<std::string>> values;

  std::size_t size() const;
};

// rev/min, as people name speeds, without the round-off of the conversion.
Coordinate speed_coordinate(const StudyPlan& plan);

// Those of the root: the speeds, also in rev/s, and the headers by their names and groups. A
// variant is no header of its own.
std::vector<Coordinate> root_coordinates(const StudyPlan& plan);

// The names of the variables that have checksums, of a header's variables without the checksums
// themselves.
Coordinate checked_coordinate(const std::vector<Variable>& variables);

// All others of one header. Those without values are not in the file: no merges, no traces, no
// diagram.
std::vector<Coordinate> header_coordinates(const StudyPlan& plan, const HeaderPlan& header_plan);

}  // namespace pulsewright::tools
