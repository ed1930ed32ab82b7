// Reads an explicit network of a case file: pipes and junctions as they are listed.
#pragma once

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Fills header.pipes and header.junctions from one [[header]]. Notes what is wrong in `problems`.
void read_network(Section& section, Problems& problems, const CaseFile& case_file,
                  HeaderDesign& header);

}  // namespace pulsewright::cases
