// Reads speeds, grid and convergence of a case file.
#pragma once

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// `top` is [run]; `engine` tells a case with an engine from one of pipes only. Notes what is wrong
// in `problems`.
Run read_run(Section top, Problems& problems, const CaseFile& case_file, bool engine);

}  // namespace pulsewright::cases
