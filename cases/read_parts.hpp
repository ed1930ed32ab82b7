// Reads what stands behind the collectors of a header: its tables `part`.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// The parts in the order of the file. Notes what is wrong with one by itself.
std::vector<TailPart> read_parts(Section& header, const models::Ambient& ambient);

// Notes what is wrong with the parts of all headers where they stand: the end they stand behind,
// their bores against each other. Only for a case that is otherwise right.
void check_parts(Problems& problems, const CaseFile& case_file);

}  // namespace pulsewright::cases
