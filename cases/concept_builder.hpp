// From one concept of a case to the network that is simulated.
//
// Pipes run with the gas: exhaust pipes from the valve outwards, intake runners from the mouth to
// the valve. The port in the head is the first part of each primary's profile, so that a cylinder
// has one primary pipe from the valve to the merge. Collector (behind the divider, if any) and tail
// are one pipe too. Directions at a merge: +x is the axis of the collector, with the gas; the tubes
// come from -x at the merge half angle, each at its position round the axis.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case.hpp"

namespace pulsewright::cases {

struct BuildOptions {
  double cell_size = 0;                    // m; 0 = that of the case
  std::optional<models::JunctionLaw> law;  // of every junction of the exhaust; none = as the case
};

// Network of one concept of the case. The case must come from the reader, which has checked it:
// a concept that contradicts itself throws std::invalid_argument.
models::EngineSpecification build_engine(const Case& a_case, const Concept& header,
                                         const BuildOptions& options = {});

// Number of grid cells of a network.
long cell_count(const models::EngineSpecification& engine);

std::vector<std::string> concept_names(const Case& a_case);

// The concept of that name. Throws CaseError that names the nearest one.
const Concept& find_concept(const Case& a_case, std::string_view name);

// Inside diameter along collector and tail of a header, from the merge outwards: taper, collector,
// tail cone, tail.
std::vector<models::ProfilePoint> collector_profile(const Concept& header);

// The piece of a profile from x0 to x1 (m), with x counted from x0.
std::vector<models::ProfilePoint> cut_profile(const std::vector<models::ProfilePoint>& profile,
                                              double x0, double x1);

// Hydraulic diameter of half a round duct with a wall along its diameter, divided by the diameter
// of the circle of the same area: sqrt(2) pi / (pi + 2) (wall thickness left out).
double half_duct_hydraulic_ratio();

}  // namespace pulsewright::cases
