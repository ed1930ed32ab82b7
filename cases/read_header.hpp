// Reads the headers of a case file.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Every [[header]] of the file, in its order; engine, exhaust and ambient of `case_file` must have
// been read. Notes what is wrong in `problems`.
std::vector<HeaderDesign> read_headers(Section& top, Problems& problems, const CaseFile& case_file);

}  // namespace pulsewright::cases
