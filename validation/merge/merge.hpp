// Pulses at a merge against a three-dimensional computation.
#pragma once

#include "validation/case.hpp"
#include "validation/merge/merge_reference.hpp"

namespace pulsewright::validation {

// All stored cases of a geometry with every law; merges.cpp.
CaseReport merge_against_reference(const MergeGeometry& geometry, Broken broken);

}  // namespace pulsewright::validation
