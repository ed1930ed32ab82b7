// The result of a whole engine from that of those of its parts that were computed
// (network/repeated_parts.hpp).
//
// In: the result of RepeatedParts::computed. Out: the same with every cylinder, merge, pipe, tail
// and probe of the engine, in its order. Copies have the figures of their source; crank angles of
// the engine and traces over them are shifted, those over the crank angle of a cylinder are not.
// Torque, power, fuel flow and the ledger are multiplied by the number of copies. A shift by part
// of the distance of two points of a trace interpolates linearly, as the trace itself was made.
#pragma once

#include "models/figures/point_result.hpp"
#include "models/network/repeated_parts.hpp"

namespace pulsewright::models {

// engine: what `parts` was made of.
PointResult whole_engine(const EngineSpecification& engine, const RepeatedParts& parts,
                         const PointResult& computed);

// The same values (of a periodic trace over 720 deg) `shift` (deg) later.
std::vector<float> shifted_trace(const std::vector<float>& trace, double shift);

}  // namespace pulsewright::models
