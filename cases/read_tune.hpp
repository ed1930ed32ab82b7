// Reads the table [tune] of a case file: what a search may change, and what it is to aim at.
#pragma once

#include "cases/case_file.hpp"
#include "cases/problems.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Engine, headers and run of `case_file` must have been read. Notes what is wrong in `problems`:
// besides kinds and ranges a part that the header has not got, a length without its limits, and
// sizes for what is no tube.
Tune read_tune(Section s, Problems& problems, const CaseFile& case_file);

}  // namespace pulsewright::cases
