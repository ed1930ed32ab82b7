// Probes of a header: places at which the gas is recorded, [[header.probe]].
//
// A place names a pipe of the network that the header becomes, so that what it names can only be
// checked when the whole case is known.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// The tables [[header.probe]] of a header.
std::vector<HeaderProbe> read_probes(Section& header);

// Notes probes at a pipe that the header does not have, or outside of it.
void check_probes(Problems& problems, const CaseFile& case_file);

// Gives the network the probes of the header. Throws std::invalid_argument for a pipe that it does
// not have.
void add_probes(models::EngineSpecification& engine, const HeaderDesign& header);

}  // namespace pulsewright::cases
