// Whether a point has the room that the plan made for it: held before a byte of it is written.
#pragma once

#include <cstddef>

#include "models/figures/point_result.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

// Throws std::invalid_argument that names the first thing in which a point does not fit the plan.
// Allowed: no traces, no tails, no probes or no wave diagram where the plan has room for them.
void check_point(const StudyPlan& plan, const HeaderPlan& header_plan, std::size_t speed,
                 const models::PointResult& point);

}  // namespace pulsewright::tools
