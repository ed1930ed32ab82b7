// Whether the headers of a case can be simulated as they are built: what shows only when the
// engine, its valves and the pipes of a header come together.
#pragma once

#include "cases/case_file.hpp"
#include "cases/problems.hpp"

namespace pulsewright::cases {

// Number of grid cells, one name for each pipe and each junction, and valves no wider than their
// ports. Builds every header; the case must be free of other problems.
void check_built(const CaseFile& case_file, Problems& problems);

}  // namespace pulsewright::cases
