// The same engine without the pulse of one cylinder at its merge: the cylinder runs on, but its
// primary ends without reflection where it enters the merge, and its branch port there is closed.
//
// Compared with the whole engine this shows which pulse acts on which cylinder: the difference of
// the pressures at the exhaust valve of cylinder j with and without the pulse of cylinder i is due
// to i. Two effects are removed with the pulse: the gas of cylinder i, so that collector and tail
// carry less, and its tube as a branch into which the waves of the others run. For cylinder i
// itself the difference is the effect of its header beyond a straight tube of endless length.
#pragma once

#include <cstddef>

#include "models/network/specification.hpp"

namespace pulsewright::models {

// `cylinder` is an index into engine.cylinders. Pipes, junctions and cylinders keep their numbers,
// so that a run may start from one of the whole engine; the exhaust path of the cylinder ends where
// the pulse is absorbed. Throws std::invalid_argument where has_merge_entry is false.
EngineSpecification with_pulse_absorbed(const EngineSpecification& engine, std::size_t cylinder);

// Whether the cylinder's exhaust path meets that of another one at a merge.
bool has_merge_entry(const EngineSpecification& engine, std::size_t cylinder);

}  // namespace pulsewright::models
