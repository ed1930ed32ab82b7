// The same engine without the pulse of one cylinder at its merge: the cylinder runs on, but its
// primary ends without reflection where it enters the merge, and its branch there is closed.
//
// Held against the whole engine this tells whose pulse acts on whom: what cylinder j sees at its
// exhaust valve less without the pulse of cylinder i than with it is due to i. Two things go with
// the pulse: the gas of cylinder i, so that collector and tail carry less, and its tube as a branch
// into which the waves of the others run. For cylinder i itself the difference is all that its
// header does beyond a straight tube of endless length.
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
