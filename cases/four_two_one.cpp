#include "cases/four_two_one.hpp"

#include "cases/header_parts.hpp"

namespace pulsewright::cases {

using models::Side;

void build_four_two_one(NetworkBuilder& builder, const HeaderDesign& header,
                        const CollectorGroup& group, const Eigen::Vector3d& outlet) {
  const double angle = header.merge_half_angle_deg;
  const double behind_pair = builder.merge_behind_crotch(merging_bore(header, group.cylinders));
  const double behind = builder.merge_behind_crotch(header.secondary_tube.inside_diameter);
  const double secondary_length =
      header.secondary_length - behind_pair + along_tube(header, behind);
  std::vector<int> secondaries;
  for (const std::vector<int>& pair : group.subgroups) {
    const double bore = header.secondary_tube.inside_diameter;
    std::vector<int> primaries;
    primaries.reserve(pair.size());
    for (const int cylinder : pair) {
      primaries.push_back(builder.add_primary(header, cylinder, along_tube(header, behind_pair)));
    }
    const int secondary = builder.add_pipe(
        builder.exhaust_pipe("secondary " + joined(pair), {{0, bore}, {secondary_length, bore}},
                             header.secondary_tube.wall));
    models::JunctionSpecification& merge = builder.add_junction("merge " + joined(pair));
    for (std::size_t i = 0; i < pair.size(); ++i) {
      const double azimuth = 360.0 * static_cast<double>(i) / static_cast<double>(pair.size());
      merge.branches.push_back({{primaries[i], Side::right}, incoming_direction(angle, azimuth)});
      builder.extend_path(pair[i], secondary);
    }
    merge_into(merge, secondary);
    secondaries.push_back(secondary);
  }
  const int collector = add_collector(builder, header, group, 0, behind, outlet);
  models::JunctionSpecification& merge = builder.add_junction("merge " + group.name);
  for (std::size_t i = 0; i < secondaries.size(); ++i) {
    const double azimuth = 360.0 * static_cast<double>(i) / static_cast<double>(secondaries.size());
    merge.branches.push_back({{secondaries[i], Side::right}, incoming_direction(angle, azimuth)});
    for (const int cylinder : group.subgroups[i]) builder.extend_path(cylinder, collector);
  }
  merge_into(merge, collector);
}

}  // namespace pulsewright::cases
