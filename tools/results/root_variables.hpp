// The variables of the root of a results file, over (header, speed): the state and the figures of
// every point on the production grid once more, so that one variable holds all headers.
//
// An element is the record of the header's own variable of that name, byte for byte: the store
// writes both, the reader compares them.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "tools/results/study_plan.hpp"
#include "tools/results/variables.hpp"

namespace pulsewright::tools {

// A record is the row of a header: fill_record() fills one, encode and decode are not set. Empty
// for a plan of variants alone.
std::vector<Variable> root_variables(const StudyPlan& plan);

// Row of a run there; none for a variant.
std::optional<std::size_t> root_row(const StudyPlan& plan, std::size_t header_index);

}  // namespace pulsewright::tools
