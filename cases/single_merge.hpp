// Headers whose primaries all meet in one merge: equal-length, 180-degree and stepped-length, which
// differ in the grouping of the cylinders and in the lengths only.
#pragma once

#include <Eigen/Core>

#include "cases/case_file.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// All primaries of the group into one merge. outlet: position of the open end (m), for sound.
void build_single_merge(NetworkBuilder& builder, const HeaderDesign& header,
                        const CollectorGroup& group, const Eigen::Vector3d& outlet);

}  // namespace pulsewright::cases
