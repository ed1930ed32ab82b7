// The 4-2-1 header.
#pragma once

#include <Eigen/Core>

#include "cases/case_file.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Two by two into secondaries, those into the collector. outlet: position of the open end (m), for
// sound.
void build_four_two_one(NetworkBuilder& builder, const CaseFile& case_file,
                        const HeaderDesign& header, const CollectorGroup& group,
                        const Eigen::Vector3d& outlet);

}  // namespace pulsewright::cases
