#include "cases/single_merge.hpp"

#include "cases/header_parts.hpp"

namespace pulsewright::cases {

using models::Side;

void build_single_merge(NetworkBuilder& builder, const HeaderDesign& header,
                        const CollectorGroup& group, const Eigen::Vector3d& outlet) {
  const bool alone = group.cylinders.size() == 1;
  const double behind =
      alone ? 0.0 : builder.merge_behind_crotch(merging_bore(header, group.cylinders));
  const double beyond = along_tube(header, behind);
  std::vector<int> primaries;
  for (const int cylinder : group.cylinders) {
    primaries.push_back(builder.add_primary(header, cylinder, beyond));
  }
  if (alone) {
    // A single tube has nothing to merge with and ends in the open.
    builder.add_outlet({primaries.front(), Side::right}, outlet);
    return;
  }
  const int collector = add_collector(builder, header, group, 0, behind, outlet);
  models::JunctionSpecification& merge = builder.add_junction("merge " + group.name);
  for (std::size_t i = 0; i < primaries.size(); ++i) {
    merge.branches.push_back(
        {{primaries[i], Side::right},
         incoming_direction(header.merge_half_angle_deg, position_deg(group, group.cylinders[i]))});
    builder.extend_path(group.cylinders[i], collector);
  }
  merge_into(merge, collector);
}

}  // namespace pulsewright::cases
