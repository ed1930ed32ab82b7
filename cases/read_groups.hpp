// Which cylinders share a collector: from the keys of a header, its kind and the banks.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Fills header.groups, of a header whose kind is read. lists, collectors: the keys `groups` and
// `collectors`, which `s` may lack. Notes problems at the keys of `s`.
void group_cylinders(Section& s, const Engine& engine, HeaderDesign& header,
                     const std::vector<std::vector<int>>& lists, int collectors);

}  // namespace pulsewright::cases
