// The header with a divided collector.
#pragma once

#include <Eigen/Core>

#include "cases/case_file.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Half the primaries to each side of a wall in the collector; the halves meet at its end. outlet:
// position of the open end (m), for sound.
void build_divided_collector(NetworkBuilder& builder, const HeaderDesign& header,
                             const CollectorGroup& group, const Eigen::Vector3d& outlet);

}  // namespace pulsewright::cases
