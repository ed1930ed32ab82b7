#include "cases/header_parts.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

namespace pulsewright::cases {

using models::Side;

std::vector<models::ProfilePoint> collector_profile(const HeaderDesign& header, double behind) {
  const double bore = header.collector_tube.inside_diameter;
  const double length = header.collector_length - behind;
  std::vector<models::ProfilePoint> profile;
  if (header.merge_cone_length > 0) {
    profile.push_back({0, header.merge_diameter});
    profile.push_back({header.merge_cone_length, bore});
  } else {
    profile.push_back({0, bore});
  }
  if (length > profile.back().x) profile.push_back({length, bore});
  if (header.tail_length > 0) {
    const double tail = header.tail_tube.inside_diameter;
    profile.push_back({length + header.tail_cone_length, tail});
    if (header.tail_length > header.tail_cone_length) {
      profile.push_back({length + header.tail_length, tail});
    }
  }
  return profile;
}

double along_tube(const CaseFile& case_file, double behind) {
  // Beyond 45 degrees the crotch lies beside the axis, and the way along the tube loses its
  // meaning.
  const double angle = std::min(case_file.exhaust.merge_half_angle_deg, 45.0);
  return behind / std::cos(angle * std::numbers::pi / 180);
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
  const std::vector<models::ProfilePoint> whole = collector_profile(header, behind);
  const int index = builder.add_pipe(builder.exhaust_pipe("collector " + group.name,
                                                          cut_profile(whole, from, whole.back().x),
                                                          header.collector_tube.wall));
  builder.add_outlet({index, Side::right}, outlet);
  return index;
}

void merge_into(models::JunctionSpecification& junction, int pipe) {
  junction.branches.push_back({{pipe, Side::left}, Eigen::Vector3d::UnitX()});
}

}  // namespace pulsewright::cases
