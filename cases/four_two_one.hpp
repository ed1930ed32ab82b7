// Headers with secondaries: 4-2-1, 6-2-1, 6-3-1.
#pragma once

#include <Eigen/Core>

#include "cases/case_file.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// The primaries of each subgroup into a secondary, those into the collector. outlet: position of
// the open end (m), for sound.
void build_four_two_one(NetworkBuilder& builder, const HeaderDesign& header,
                        const CollectorGroup& group, const Eigen::Vector3d& outlet);

}  // namespace pulsewright::cases
