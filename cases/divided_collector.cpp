#include "cases/divided_collector.hpp"

#include <fmt/format.h>
#include <numbers>

#include "cases/header_parts.hpp"

namespace pulsewright::cases {

using models::Side;

namespace {

// Hydraulic diameter of half a round pipe with a wall along its diameter, divided by the diameter
// of the circle of the same area: sqrt(2) pi / (pi + 2) (wall thickness left out).
double half_pipe_hydraulic_ratio() {
  return std::numbers::sqrt2 * std::numbers::pi / (std::numbers::pi + 2);
}

}  // namespace

void build_divided_collector(NetworkBuilder& builder, const HeaderDesign& header,
                             const CollectorGroup& group, const Eigen::Vector3d& outlet) {
  const double behind = builder.merge_behind_crotch(merging_bore(header, group.cylinders));
  const double wall = header.divider_length - behind;  // m, of the halves
  std::vector<models::ProfilePoint> half_profile =
      cut_profile(collector_profile(header, behind, 0, &group), 0, wall);
  for (models::ProfilePoint& point : half_profile) point.diameter /= std::numbers::sqrt2;
  std::vector<int> halves;
  for (std::size_t side = 0; side < group.subgroups.size(); ++side) {
    const std::vector<int>& members = group.subgroups[side];
    std::vector<int> primaries;
    primaries.reserve(members.size());
    for (const int cylinder : members) {
      primaries.push_back(builder.add_primary(header, cylinder, along_tube(header, behind)));
    }
    models::PipeSpecification half =
        builder.exhaust_pipe(fmt::format("half {} {}", group.name, joined(members)), half_profile,
                             header.collector_tube.wall);
    half.hydraulic_ratio = half_pipe_hydraulic_ratio();
    const int pipe = builder.add_pipe(std::move(half));
    models::JunctionSpecification& merge =
        builder.add_junction(fmt::format("merge {} {}", group.name, joined(members)));
    for (std::size_t i = 0; i < members.size(); ++i) {
      merge.branches.push_back(
          {{primaries[i], Side::right},
           incoming_direction(header.merge_half_angle_deg, position_deg(group, members[i]))});
      builder.extend_path(members[i], pipe);
    }
    merge_into(merge, pipe);
    halves.push_back(pipe);
  }
  const int collector = add_collector(builder, header, group, wall, behind, outlet);
  models::JunctionSpecification& end = builder.add_junction("wall end " + group.name);
  for (std::size_t side = 0; side < halves.size(); ++side) {
    end.branches.push_back({{halves[side], Side::right}, incoming_direction(0, 0)});
    for (const int cylinder : group.subgroups[side]) builder.extend_path(cylinder, collector);
  }
  merge_into(end, collector);
}

}  // namespace pulsewright::cases
