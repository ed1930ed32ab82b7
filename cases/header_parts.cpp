#include "cases/header_parts.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "cases/joined_collectors.hpp"

namespace pulsewright::cases {

using models::Side;

std::vector<models::ProfilePoint> collector_profile(const HeaderDesign& header, double behind,
                                                    double beyond, const CollectorGroup* group) {
  const double bore = header.collector_tube.inside_diameter;
  const double length = header.collector_length - behind + beyond;
  std::vector<models::ProfilePoint> profile;
  if (header.merge_cone_length > 0) {
    const double inlet = header.merge_inlet_length;
    const double neck = inlet + header.merge_neck_length;
    if (inlet > 0) profile.push_back({0, bundle_diameter(header, *group)});
    profile.push_back({inlet, header.merge_diameter});
    if (neck > inlet) profile.push_back({neck, header.merge_diameter});
    profile.push_back({neck + header.merge_cone_length, bore});
  } else {
    profile.push_back({0, bore});
  }
  if (length > profile.back().x) profile.push_back({length, bore});
  if (header.tail_length > 0 && !header.shared_tail) {
    const double tail = header.tail_tube.inside_diameter;
    profile.push_back({length + header.tail_cone_length, tail});
    if (header.tail_length > header.tail_cone_length) {
      profile.push_back({length + header.tail_length, tail});
    }
  }
  return profile;
}

double along_tube(const HeaderDesign& header, double behind) {
  // Beyond 45 degrees the crotch lies beside the axis, and the way along the tube loses its
  // meaning.
  const double angle = std::min(header.merge_half_angle_deg, 45.0);
  return behind / std::cos(angle * std::numbers::pi / 180);
}

double bundle_diameter(const HeaderDesign& header, const CollectorGroup& group) {
  double squares = 0;
  for (const int cylinder : group.cylinders) {
    squares += std::pow(header.primaries.at(cylinder).last_tube().inside_diameter, 2);
  }
  if (has_secondaries(header.kind)) {
    squares = static_cast<double>(group.subgroups.size()) *
              std::pow(header.secondary_tube.inside_diameter, 2);
  }
  return std::sqrt(squares);
}

double merging_bore(const HeaderDesign& header, const std::vector<int>& cylinders) {
  double widest = 0;
  for (const int cylinder : cylinders) {
    widest = std::max(widest, header.primaries.at(cylinder).last_tube().inside_diameter);
  }
  return widest;
}

std::vector<models::ProfilePoint> cut_profile(const std::vector<models::ProfilePoint>& profile,
                                              double x0, double x1) {
  std::vector<models::ProfilePoint> out{{0, models::diameter_at(profile, x0)}};
  for (const models::ProfilePoint& point : profile) {
    if (point.x > x0 && point.x < x1) out.push_back({point.x - x0, point.diameter});
  }
  out.push_back({x1 - x0, models::diameter_at(profile, x1)});
  return out;
}

std::string joined(const std::vector<int>& numbers) {
  return fmt::format("{}", fmt::join(numbers, "+"));
}

double position_deg(const CollectorGroup& group, int cylinder) {
  const auto found = std::find(group.cylinders.begin(), group.cylinders.end(), cylinder);
  const int position =
      group.collector_position[static_cast<std::size_t>(found - group.cylinders.begin())];
  return 360.0 * (position - 1) / static_cast<double>(group.cylinders.size());
}

int add_collector(NetworkBuilder& builder, const HeaderDesign& header, const CollectorGroup& group,
                  double from, double behind, const Eigen::Vector3d& outlet) {
  const bool joined = has_joined_collectors(header);
  const std::vector<models::ProfilePoint> whole =
      collector_profile(header, behind, beyond_collector(builder, header), &group);
  const double to = joined ? first_joint(builder, header, behind) : whole.back().x;
  const int index = builder.add_pipe(builder.exhaust_pipe(
      "collector " + group.name, cut_profile(whole, from, to), header.collector_tube.wall));
  if (joined) {
    builder.collector_ends().push_back({&group, index, whole, behind, outlet});
  } else {
    builder.add_outlet({index, Side::right}, outlet);
  }
  return index;
}

void merge_into(models::JunctionSpecification& junction, int pipe) {
  junction.branches.push_back({{pipe, Side::left}, Eigen::Vector3d::UnitX()});
}

}  // namespace pulsewright::cases
