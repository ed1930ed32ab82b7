// Whether the pipes and junctions of an explicit network hang together.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Names, uses of every junction, one pipe for each cylinder, and a way out for its gas. `pipes` and
// `junctions` are the tables that header.pipes and header.junctions were read from.
void check_network(Problems& problems, const CaseFile& case_file, const HeaderDesign& header,
                   std::vector<Section>& pipes, std::vector<Section>& junctions);

}  // namespace pulsewright::cases
