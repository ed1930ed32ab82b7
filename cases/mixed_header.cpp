#include "cases/mixed_header.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <stdexcept>

#include "cases/header_builder.hpp"
#include "cases/primary_pieces.hpp"

namespace pulsewright::cases {

namespace {

constexpr double same_length = 1e-9;  // m: one length in millimetres and in inches

bool is_same(double one, double other) { return std::abs(one - other) < same_length; }
bool is_same(const Tube& one, const Tube& other) {
  return is_same(one.inside_diameter, other.inside_diameter) && is_same(one.wall, other.wall);
}

void refuse_network(const HeaderDesign& header) {
  if (header.kind != HeaderKind::network) return;
  throw std::invalid_argument(fmt::format("{} is an explicit network", header.name));
}

double mean_primary(const HeaderDesign& header) {
  const double sum =
      std::accumulate(header.primary_length.begin(), header.primary_length.end(), 0.0,
                      [](double total, const auto& one) { return total + one.second; });
  return sum / static_cast<double>(header.primary_length.size());
}

// Of the length; 0 where there are none.
double secondary_share(const HeaderDesign& header) {
  return header.secondary_length / length_to_last_crotch(header);
}

bool is_same_step(const TubeStep& one, const TubeStep& other) {
  return is_same(one.at, other.at) && is_same(one.tube, other.tube) &&
         is_same(one.cone_length, other.cone_length);
}

// Of every cylinder.
template <class Same>
bool has_same_primaries(const HeaderDesign& one, const HeaderDesign& other, const Same& same) {
  return std::equal(
      one.primaries.begin(), one.primaries.end(), other.primaries.begin(), other.primaries.end(),
      [&](const auto& a, const auto& b) { return a.first == b.first && same(a.second, b.second); });
}

bool has_same_tubes(const HeaderDesign& one, const HeaderDesign& other) {
  return has_same_primaries(one, other, [](const Primary& a, const Primary& b) {
    return is_same(a.tube, b.tube) &&
           std::equal(a.steps.begin(), a.steps.end(), b.steps.begin(), b.steps.end(), is_same_step);
  });
}

bool has_same_bends(const HeaderDesign& one, const HeaderDesign& other) {
  return has_same_primaries(one, other,
                            [](const Primary& a, const Primary& b) { return a.bends == b.bends; });
}

bool is_same_balance(const BalancePipe& one, const BalancePipe& other) {
  return one.kind == other.kind && is_same(one.at, other.at) && is_same(one.tube, other.tube) &&
         is_same(one.length, other.length) && is_same(one.half_angle_deg, other.half_angle_deg);
}

// Wherever in the file they stand.
bool is_same_tail_part(TailPart one, const TailPart& other) {
  one.line = other.line;
  return one == other;
}

bool is_same_collector(const HeaderDesign& one, const HeaderDesign& other) {
  return is_same(one.merge_half_angle_deg, other.merge_half_angle_deg) &&
         is_same(one.merge_inlet_length, other.merge_inlet_length) &&
         is_same(one.merge_neck_length, other.merge_neck_length) &&
         one.shared_tail == other.shared_tail &&
         std::equal(one.balance.begin(), one.balance.end(), other.balance.begin(),
                    other.balance.end(), is_same_balance) &&
         std::equal(one.parts.begin(), one.parts.end(), other.parts.begin(), other.parts.end(),
                    is_same_tail_part) &&
         is_same(one.collector_tube, other.collector_tube) &&
         is_same(one.collector_length, other.collector_length) &&
         is_same(one.merge_diameter, other.merge_diameter) &&
         is_same(one.merge_cone_length, other.merge_cone_length) &&
         is_same(one.tail_tube, other.tail_tube) && is_same(one.tail_length, other.tail_length) &&
         is_same(one.tail_cone_length, other.tail_cone_length);
}

bool is_same_grouping(const CollectorGroup& one, const CollectorGroup& other) {
  return one.cylinders == other.cylinders && one.collector_position == other.collector_position &&
         one.subgroups == other.subgroups;
}

// Primaries by their difference to the mean.
bool has_same_steps(const HeaderDesign& one, const HeaderDesign& other) {
  const double mean = mean_primary(one);
  const double other_mean = mean_primary(other);
  return std::equal(one.primary_length.begin(), one.primary_length.end(),
                    other.primary_length.begin(), other.primary_length.end(),
                    [&](const auto& a, const auto& b) {
                      return a.first == b.first && is_same(a.second - mean, b.second - other_mean);
                    });
}

bool is_same_kind(const HeaderDesign& one, const HeaderDesign& other) {
  return one.kind == other.kind &&
         std::equal(one.groups.begin(), one.groups.end(), other.groups.begin(), other.groups.end(),
                    is_same_grouping) &&
         has_same_steps(one, other) && has_same_bends(one, other) &&
         is_same(one.port_transition, other.port_transition) &&
         is_same(secondary_share(one), secondary_share(other)) &&
         is_same(one.secondary_tube, other.secondary_tube) &&
         is_same(one.divider_length, other.divider_length);
}

void set_length(HeaderDesign& header, double length) {
  const double primary = mean_primary(header);
  const double secondary = length * secondary_share(header);
  for (auto& [cylinder, own] : header.primary_length) own += length - secondary - primary;
  header.secondary_length = secondary;
}

// What joins collectors needs them.
void require_collectors(const HeaderDesign& header) {
  const std::size_t collectors = header.groups.size();
  const bool single = std::any_of(header.groups.begin(), header.groups.end(),
                                  [](const auto& group) { return group.cylinders.size() == 1; });
  const bool unfit =
      (header.shared_tail && collectors < 2) || (!header.balance.empty() && collectors != 2);
  if (!unfit && !(single && (header.shared_tail || !header.balance.empty()))) return;
  throw std::invalid_argument(fmt::format(
      "in {} there are no two collectors for what joins those of the other header", header.name));
}

double shortest_pipe(const models::EngineSpecification& engine) {
  double shortest = shortest_piece;
  for (const auto& pipe : engine.pipes) shortest = std::min(shortest, pipe.length);
  return shortest;
}

// Whatever the law, the pipes of a merge meet behind its crotch, which may leave nothing of what
// follows, or so little that its cells would set the time step of all. What either header has by
// itself may stay as short.
void require_pipes(const CaseFile& case_file, const HeaderDesign& header, const HeaderDesign& one,
                   const HeaderDesign& other) {
  for (const models::JunctionLaw law : junction_laws()) {
    BuildOptions options;
    options.law = law;
    const double least = std::min(shortest_pipe(build_engine(case_file, one, options)),
                                  shortest_pipe(build_engine(case_file, other, options)));
    for (const auto& pipe : build_engine(case_file, header, options).pipes) {
      const bool rises = std::is_sorted(pipe.profile.begin(), pipe.profile.end(),
                                        [](const auto& a, const auto& b) { return a.x < b.x; });
      const bool none = !(pipe.length > 0) || !rises;
      if (!none && pipe.length > (1 - 1e-9) * least) continue;
      throw std::invalid_argument(fmt::format(
          "in {} with parts of the other header the {} would have {}", header.name, pipe.name,
          none ? std::string("no length") : fmt::format("{:.1f} mm left", 1e3 * pipe.length)));
    }
  }
}

// Names every member of a header: a new one does not compile before it belongs to a part.
void require_parts_of_all_members(const HeaderDesign& header) {
  [[maybe_unused]] const auto& [name, notes, kind, groups, primary_length, primaries, primary_tube,
                                secondary_tube, collector_tube, tail_tube, port_transition,
                                merge_half_angle_deg, secondary_length, collector_length,
                                merge_inlet_length, merge_diameter, merge_neck_length,
                                merge_cone_length, divider_length, tail_length, tail_cone_length,
                                shared_tail, balance, pipes, junctions, parts, probes, paths,
                                line] = header;
}

}  // namespace

std::string_view part_name(HeaderPart part) {
  switch (part) {
    case HeaderPart::length:
      return "length";
    case HeaderPart::tube:
      return "tube";
    case HeaderPart::collector:
      return "collector";
    case HeaderPart::kind:
      break;
  }
  return "kind";
}

double length_to_last_crotch(const HeaderDesign& header) {
  refuse_network(header);
  return mean_primary(header) + header.secondary_length;
}

HeaderParts differing_parts(const HeaderDesign& one, const HeaderDesign& other) {
  require_parts_of_all_members(one);
  const auto part = [](HeaderPart which, bool same) {
    return same ? 0U : static_cast<HeaderParts>(which);
  };
  return part(HeaderPart::length,
              is_same(length_to_last_crotch(one), length_to_last_crotch(other))) |
         part(HeaderPart::tube, has_same_tubes(one, other)) |
         part(HeaderPart::collector, is_same_collector(one, other)) |
         part(HeaderPart::kind, is_same_kind(one, other));
}

HeaderDesign mixed_header(const CaseFile& case_file, const HeaderDesign& header,
                          const HeaderDesign& other, HeaderParts parts) {
  refuse_network(header);
  refuse_network(other);
  HeaderDesign mixed = header;
  mixed.probes.clear();
  if (has_part(parts, HeaderPart::length)) set_length(mixed, length_to_last_crotch(other));
  if (has_part(parts, HeaderPart::tube)) {
    mixed.primary_tube = other.primary_tube;
    for (auto& [cylinder, primary] : mixed.primaries) {
      primary.tube = other.primaries.at(cylinder).tube;
      primary.steps = other.primaries.at(cylinder).steps;
    }
  }
  if (has_part(parts, HeaderPart::collector)) {
    mixed.collector_tube = other.collector_tube;
    mixed.collector_length = other.collector_length;
    mixed.merge_half_angle_deg = other.merge_half_angle_deg;
    mixed.merge_inlet_length = other.merge_inlet_length;
    mixed.merge_diameter = other.merge_diameter;
    mixed.merge_neck_length = other.merge_neck_length;
    mixed.merge_cone_length = other.merge_cone_length;
    mixed.tail_tube = other.tail_tube;
    mixed.tail_length = other.tail_length;
    mixed.tail_cone_length = other.tail_cone_length;
    mixed.shared_tail = other.shared_tail;
    mixed.balance = other.balance;
    mixed.parts = other.parts;
  }
  require_collectors(mixed);
  require_pipes(case_file, mixed, header, other);
  return mixed;
}

}  // namespace pulsewright::cases
