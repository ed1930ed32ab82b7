// What can be simulated, but is more likely a slip than meant: remarks on the case as a whole.
#pragma once

#include "cases/case_file.hpp"
#include "cases/problems.hpp"

namespace pulsewright::cases {

// Collectors narrower than their tubes go well with, tubes narrower than the port, many cylinders
// without banks, headers that are one network. Builds every header; the case must be free of
// problems. Notes remarks at the keys that they are about.
void check_likely(const CaseFile& case_file, Problems& problems);

}  // namespace pulsewright::cases
