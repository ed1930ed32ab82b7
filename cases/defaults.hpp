// The defaults that matter to an engine's torque, each with the range that engines have.
#pragma once

#include "cases/case_file.hpp"
#include "cases/problems.hpp"

namespace pulsewright::cases {

// Notes an assumption for every such key that the file leaves out. The file must have been read.
void note_defaults(const CaseFile& case_file, Problems& problems);

}  // namespace pulsewright::cases
