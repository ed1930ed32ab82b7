#include "cases/header_builder.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <stdexcept>

#include "cases/case_error.hpp"
#include "cases/header_network.hpp"
#include "cases/nearest_key.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {
namespace {

using models::Side;

std::string joined(const std::vector<int>& numbers) {
  return fmt::format("{}", fmt::join(numbers, "+"));
}

double place_deg(const CollectorGroup& group, int cylinder) {
  const auto found = std::find(group.cylinders.begin(), group.cylinders.end(), cylinder);
  const int position =
      group.collector_position[static_cast<std::size_t>(found - group.cylinders.begin())];
  return 360.0 * (position - 1) / static_cast<double>(group.cylinders.size());
}

// Collector and tail behind `from` metres, open at the end.
int add_collector(NetworkBuilder& builder, const HeaderDesign& header, const CollectorGroup& group,
                  double from, const Eigen::Vector3d& outlet) {
  const std::vector<models::ProfilePoint> whole = collector_profile(header);
  const int index = builder.add_pipe(builder.exhaust_pipe("collector " + group.name,
                                                          cut_profile(whole, from, whole.back().x),
                                                          header.collector_tube.wall));
  builder.add_outlet({index, Side::right}, outlet);
  return index;
}

void merge_into(models::JunctionSpecification& junction, int pipe) {
  junction.branches.push_back({{pipe, Side::left}, Eigen::Vector3d::UnitX()});
}

// All primaries of the group into one merge.
void build_single_merge(NetworkBuilder& builder, const CaseFile& case_file,
                        const HeaderDesign& header, const CollectorGroup& group,
                        const Eigen::Vector3d& outlet) {
  std::vector<int> primaries;
  for (const int cylinder : group.cylinders)
    primaries.push_back(builder.add_primary(header, cylinder));
  if (primaries.size() == 1) {
    // A single tube has nothing to merge with and ends in the open.
    builder.add_outlet({primaries.front(), Side::right}, outlet);
    return;
  }
  const int collector = add_collector(builder, header, group, 0, outlet);
  models::JunctionSpecification& merge = builder.add_junction("merge " + group.name);
  for (std::size_t i = 0; i < primaries.size(); ++i) {
    merge.branches.push_back({{primaries[i], Side::right},
                              incoming_direction(case_file.exhaust.merge_half_angle_deg,
                                                 place_deg(group, group.cylinders[i]))});
    builder.extend_path(group.cylinders[i], collector);
  }
  merge_into(merge, collector);
}

// Two by two into secondaries, those into the collector.
void build_four_two_one(NetworkBuilder& builder, const CaseFile& case_file,
                        const HeaderDesign& header, const CollectorGroup& group,
                        const Eigen::Vector3d& outlet) {
  const double angle = case_file.exhaust.merge_half_angle_deg;
  std::vector<int> secondaries;
  for (const std::vector<int>& pair : group.subgroups) {
    const double bore = header.secondary_tube.inside_diameter;
    std::vector<int> primaries;
    primaries.reserve(pair.size());
    for (const int cylinder : pair) primaries.push_back(builder.add_primary(header, cylinder));
    const int secondary = builder.add_pipe(builder.exhaust_pipe(
        "secondary " + joined(pair), {{0, bore}, {header.secondary_length, bore}},
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
  const int collector = add_collector(builder, header, group, 0, outlet);
  models::JunctionSpecification& merge = builder.add_junction("merge " + group.name);
  for (std::size_t i = 0; i < secondaries.size(); ++i) {
    const double azimuth = 360.0 * static_cast<double>(i) / static_cast<double>(secondaries.size());
    merge.branches.push_back({{secondaries[i], Side::right}, incoming_direction(angle, azimuth)});
    for (const int cylinder : group.subgroups[i]) builder.extend_path(cylinder, collector);
  }
  merge_into(merge, collector);
}

// Half the primaries to each side of a wall in the collector; the halves meet at its end.
void build_divided_collector(NetworkBuilder& builder, const CaseFile& case_file,
                             const HeaderDesign& header, const CollectorGroup& group,
                             const Eigen::Vector3d& outlet) {
  std::vector<models::ProfilePoint> half_profile =
      cut_profile(collector_profile(header), 0, header.divider_length);
  for (models::ProfilePoint& point : half_profile) point.diameter /= std::numbers::sqrt2;
  std::vector<int> halves;
  for (std::size_t side = 0; side < group.subgroups.size(); ++side) {
    const std::vector<int>& members = group.subgroups[side];
    std::vector<int> primaries;
    primaries.reserve(members.size());
    for (const int cylinder : members) primaries.push_back(builder.add_primary(header, cylinder));
    models::PipeSpecification half =
        builder.exhaust_pipe(fmt::format("half {} {}", group.name, joined(members)), half_profile,
                             header.collector_tube.wall);
    half.hydraulic_ratio = half_pipe_hydraulic_ratio();
    const int pipe = builder.add_pipe(std::move(half));
    models::JunctionSpecification& merge =
        builder.add_junction(fmt::format("merge {} {}", group.name, joined(members)));
    for (std::size_t i = 0; i < members.size(); ++i) {
      merge.branches.push_back({{primaries[i], Side::right},
                                incoming_direction(case_file.exhaust.merge_half_angle_deg,
                                                   place_deg(group, members[i]))});
      builder.extend_path(members[i], pipe);
    }
    merge_into(merge, pipe);
    halves.push_back(pipe);
  }
  const int collector = add_collector(builder, header, group, header.divider_length, outlet);
  models::JunctionSpecification& end = builder.add_junction("wall end " + group.name);
  for (std::size_t side = 0; side < halves.size(); ++side) {
    end.branches.push_back({{halves[side], Side::right}, incoming_direction(0, 0)});
    for (const int cylinder : group.subgroups[side]) builder.extend_path(cylinder, collector);
  }
  merge_into(end, collector);
}

}  // namespace

double half_pipe_hydraulic_ratio() {
  return std::numbers::sqrt2 * std::numbers::pi / (std::numbers::pi + 2);
}

std::vector<models::ProfilePoint> collector_profile(const HeaderDesign& header) {
  const double bore = header.collector_tube.inside_diameter;
  std::vector<models::ProfilePoint> profile;
  if (header.merge_cone_length > 0) {
    profile.push_back({0, header.merge_diameter});
    profile.push_back({header.merge_cone_length, bore});
  } else {
    profile.push_back({0, bore});
  }
  if (header.collector_length > profile.back().x)
    profile.push_back({header.collector_length, bore});
  if (header.tail_length > 0) {
    const double tail = header.tail_tube.inside_diameter;
    profile.push_back({header.collector_length + header.tail_cone_length, tail});
    if (header.tail_length > header.tail_cone_length) {
      profile.push_back({header.collector_length + header.tail_length, tail});
    }
  }
  return profile;
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

namespace {

void build_header(NetworkBuilder& builder, const CaseFile& case_file, const HeaderDesign& header) {
  const double middle = (static_cast<double>(header.groups.size()) - 1) / 2;
  for (std::size_t i = 0; i < header.groups.size(); ++i) {
    const CollectorGroup& group = header.groups[i];
    const Eigen::Vector3d outlet(
        0, (static_cast<double>(i) - middle) * case_file.exhaust.outlet_spacing, 0);
    if (header.kind == HeaderKind::four_two_one) {
      build_four_two_one(builder, case_file, header, group, outlet);
    } else if (header.kind == HeaderKind::divided_collector) {
      build_divided_collector(builder, case_file, header, group, outlet);
    } else {
      build_single_merge(builder, case_file, header, group, outlet);
    }
  }
}

}  // namespace

models::EngineSpecification build_engine(const CaseFile& case_file, const HeaderDesign& header,
                                         const BuildOptions& options) {
  NetworkBuilder builder(case_file, options, header.name);
  if (header.kind == HeaderKind::network) {
    build_network(builder, header, options);
  } else {
    build_header(builder, case_file, header);
  }
  builder.add_intake();
  return std::move(builder.engine());
}

long cell_count(const models::EngineSpecification& engine) {
  long cells = 0;
  for (const models::PipeSpecification& pipe : engine.pipes) {
    cells += static_cast<long>(pipe.cells());
  }
  return cells;
}

std::vector<std::string> header_names(const CaseFile& case_file) {
  std::vector<std::string> out;
  for (const HeaderDesign& header : case_file.headers) out.push_back(header.name);
  return out;
}

const HeaderDesign& find_header(const CaseFile& case_file, std::string_view name) {
  for (const HeaderDesign& header : case_file.headers) {
    if (header.name == name) return header;
  }
  const std::vector<std::string> known = header_names(case_file);
  const std::string near = nearest_key(name, known);
  Problem problem;
  problem.file = case_file.file_name;
  problem.key = "header";
  problem.value = fmt::format("\"{}\"", name);
  problem.message = "the case has no header of this name";
  problem.allowed = fmt::format("{}", fmt::join(known, ", "));
  if (!near.empty()) problem.advice = fmt::format("did you mean \"{}\"?", near);
  throw CaseError({problem});
}

}  // namespace pulsewright::cases
