// The readers of the parts of a case file; each notes problems and returns what it read.
#pragma once

#include "cases/case.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

Engine read_engine(Section top, Problems& problems);
models::ValveSpecification read_valve(Section top, Problems& problems, bool exhaust);
std::vector<Concept> read_concepts(Section& top, Problems& problems, const Case& a_case);
// The explicit pipes and junctions of one concept.
void read_network(Section& section, Problems& problems, const Case& a_case, Concept& header);
models::JunctionLaw junction_law(const std::string& name);
models::PipeHeatLaw pipe_heat_law(const std::string& name);
std::vector<models::Bend> read_bends(Section& section);
// Letters, digits, spaces and . _ + -, 1 to 40 characters.
bool good_name(const std::string& name);

}  // namespace pulsewright::cases
