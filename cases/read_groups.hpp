// Which cylinders share a collector: from the keys of a header, its kind and the banks.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// The keys of a header that group its cylinders, any of which it may lack.
struct GivenGroups {
  std::vector<std::vector<int>> groups, secondaries;
  int collectors = 0;
};

// Fills header.groups, of a header whose kind is read. Notes problems at the keys of `s`.
void group_cylinders(Section& s, const Engine& engine, HeaderDesign& header,
                     const GivenGroups& given);

}  // namespace pulsewright::cases
