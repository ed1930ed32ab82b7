// Which pipe ends belong to which boundary.
#pragma once

#include <array>
#include <vector>

#include "models/boundary/valve.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::models {

// The pipe ends of what is specified, in the order in which its boundary counts them.
template <class Specification>
std::array<PipeEnd, 1> ends_of(const Specification& spec) {
  return {spec.end};
}
std::vector<PipeEnd> ends_of(const JunctionSpecification& junction);
std::vector<PipeEnd> ends_of(const PerforateSpecification& perforate);

// ends: those of all boundaries. Throws std::invalid_argument, with the name of the pipe, where a
// pipe end is used twice or not at all, or a pipe is named that does not exist.
void check_topology(const std::vector<PipeSpecification>& pipes, const std::vector<PipeEnd>& ends);

}  // namespace pulsewright::models
