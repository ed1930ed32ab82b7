// Reads the tubes of a header's primaries: diameter steps, bends, and single ones that differ.
#pragma once

#include <map>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Steps of a tube with the tables they were read from.
struct GivenSteps {
  std::vector<TubeStep> steps;
  std::vector<Section> tables;
};

// One table [[header.primary]].
struct GivenPrimary {
  Section table;
  std::vector<int> cylinders;
  Tube tube;
  double length = 0;  // m
  GivenSteps steps;
  std::vector<models::Bend> bends;
};

// What a header says of its primaries beside primary_tube and their lengths.
struct GivenPrimaries {
  GivenSteps steps;
  std::vector<models::Bend> bends;
  std::vector<GivenPrimary> single;
  GivenSteps none;  // of a single one with a tube of its own
};

GivenPrimaries read_primaries(Section& header, const CaseFile& case_file);

// Fills design.primaries, and lengths of single ones into design.primary_length. Notes cylinders
// that the engine does not have or that are named twice. lengths: those of the key lengths.
void set_primaries(const CaseFile& case_file, HeaderDesign& design, GivenPrimaries& given,
                   const std::map<int, double>& lengths);

// Steps, port and bends against the length of every tube.
void check_primaries(Section& header, Problems& problems, const CaseFile& case_file,
                     const HeaderDesign& design, GivenPrimaries& given);

}  // namespace pulsewright::cases
