// The readers of the parts of a case file; each notes problems and returns what it read.
#pragma once

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

Engine read_engine(Section top, Problems& problems);
models::ValveSpecification read_valve(Section top, Problems& problems, bool exhaust);
std::vector<HeaderDesign> read_headers(Section& top, Problems& problems, const CaseFile& case_file);
// The explicit pipes and junctions of one header.
void read_network(Section& section, Problems& problems, const CaseFile& case_file,
                  HeaderDesign& header);
// Names, uses of every junction, one pipe for each cylinder, and a way out for its gas. `pipes` and
// `junctions` are the tables that header.pipes and header.junctions were read from.
void check_network(Problems& problems, const CaseFile& case_file, const HeaderDesign& header,
                   std::vector<Section>& pipes, std::vector<Section>& junctions);
Run read_run(Section s, Problems& problems, const CaseFile& case_file, bool engine);
models::JunctionLaw junction_law(const std::string& name);
models::PipeHeatLaw pipe_heat_law(const std::string& name);
std::vector<models::Bend> read_bends(Section& section);
// Letters, digits, spaces and . _ + -, 1 to 40 characters.
bool good_name(const std::string& name);

}  // namespace pulsewright::cases
