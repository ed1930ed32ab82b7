#include "cases/likely_check.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <string>

#include "cases/counted.hpp"
#include "cases/header_builder.hpp"
#include "cases/header_parts.hpp"

namespace pulsewright::cases {
namespace {

std::string key_of(std::size_t header) { return fmt::format("header[{}]", header + 1); }

// ---------------------------------------------------------------- sizes

struct Meeting {
  double tube = 0;        // m, bore of one of the tubes
  std::size_t count = 0;  // how many meet
  std::string_view into;  // key of what they meet in
  double bore = 0;        // m, of that
};

// Collectors of four tubes have 1.7 to 2 times their diameter, and 1.3 to 1.5 at the choke of a
// merge collector; two tubes may meet in one of their own size (common practice, no source).
void check_meeting(const Meeting& m, double least_ratio, const std::string& key,
                   Problems& problems) {
  if (!(m.tube > 0 && m.bore > 0) || m.count < 2) return;
  const double least = m.count == 2 ? 1.0 : least_ratio;
  if (m.bore >= least * m.tube) return;
  problems.remark(
      key + "." + std::string(m.into),
      fmt::format("has a bore of {}, {:.2f} times that of the {} tubes that meet in it",
                  problems.shown().length(m.bore), m.bore / m.tube, m.count),
      "collectors of four tubes have 1.7 to 2 times the diameter of one, 1.3 to 1.5 at the choke");
}

void check_meetings(const HeaderDesign& header, const std::string& key, Problems& problems) {
  constexpr double least_collector = 1.2;
  constexpr double least_choke = 1.1;
  std::size_t most = 0;
  for (const auto& group : header.groups) most = std::max(most, group.cylinders.size());
  double primary = 0;
  std::size_t subgroups = 0;
  for (const auto& group : header.groups) {
    primary = std::max(primary, merging_bore(header, group.cylinders));
    subgroups = std::max(subgroups, group.subgroups.size());
  }
  const double secondary = header.secondary_tube.inside_diameter;
  const bool paired = has_secondaries(header.kind);
  const double tube = paired ? secondary : primary;
  const std::size_t count = paired ? subgroups : most;
  if (paired) {
    check_meeting({primary, most / subgroups, "secondary_tube", secondary}, 1, key, problems);
  }
  check_meeting({tube, count, "collector_tube", header.collector_tube.inside_diameter},
                least_collector, key, problems);
  check_meeting({tube, count, "merge_diameter", header.merge_diameter}, least_choke, key, problems);
}

// On a flat-plane engine the crossed tubes of a 180-degree header cross nothing.
void check_crossing(const CaseFile& case_file, const HeaderDesign& header, const std::string& key,
                    Problems& problems) {
  if (header.kind != HeaderKind::degree_180) return;
  const auto members = [](std::vector<int> cylinders) {
    std::sort(cylinders.begin(), cylinders.end());
    return cylinders;
  };
  for (const CollectorGroup& group : header.groups) {
    const auto& banks = case_file.engine.banks;
    if (std::none_of(banks.begin(), banks.end(), [&](const Bank& bank) {
          return members(bank.cylinders) == members(group.cylinders);
        })) {
      return;
    }
  }
  problems.remark(key + ".kind",
                  "gives every collector the cylinders of one bank: it is the same pipework as "
                  "\"equal-length\"",
                  "no tube of this engine has to cross to the other bank");
}

void check_port_step(const CaseFile& case_file, const HeaderDesign& header, const std::string& key,
                     Problems& problems) {
  // A tube a little smaller than the port may be a matter of rounding.
  constexpr double rounding = 0.98;
  const double port = case_file.exhaust.port_diameter;
  const double tube = header.primary_tube.inside_diameter;
  if (!(case_file.exhaust.port_length > 0) || !(tube > 0) || tube >= rounding * port) return;
  problems.remark(key + ".primary_tube",
                  fmt::format("has a bore of {}, less than the {} of the port before it",
                              problems.shown().length(tube), problems.shown().length(port)),
                  "gas runs against the step; a tube is as wide as its port or wider");
}

// ---------------------------------------------------------------- banks

// Engines with eight and more cylinders have banks, nearly always.
void check_banks_given(const CaseFile& case_file, Problems& problems) {
  constexpr std::size_t usual_in_line = 6;
  const std::size_t cylinders = case_file.engine.firing_order.size();
  if (cylinders <= usual_in_line || problems.has("engine.banks")) return;
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    const auto& groups = case_file.headers[i].groups;
    if (groups.size() != 1 || problems.has(key_of(i) + ".groups")) continue;
    problems.remark("engine.firing_order",
                    fmt::format("has {} and no banks: all of them meet in one collector of header "
                                "\"{}\"",
                                counted(cylinders, "cylinder"), case_file.headers[i].name),
                    "say which cylinders stand together, for example: banks = { left = [1, 3, 5, "
                    "7], right = [2, 4, 6, 8] }");
    return;
  }
}

// ---------------------------------------------------------------- headers that are one

bool same_end(const models::PipeEnd& a, const models::PipeEnd& b) {
  return a.pipe == b.pipe && a.side == b.side;
}

bool same_pipe(models::PipeSpecification a, const models::PipeSpecification& b) {
  a.name = b.name;
  return a == b;
}

bool same_junction(const models::JunctionSpecification& a, const models::JunctionSpecification& b) {
  const auto same_branch = [](const models::Branch& x, const models::Branch& y) {
    return same_end(x.end, y.end) && x.direction == y.direction;
  };
  return a.law == b.law && a.volume == b.volume && a.vent_area == b.vent_area &&
         std::equal(a.branches.begin(), a.branches.end(), b.branches.begin(), b.branches.end(),
                    same_branch);
}

bool same_perforate(const models::PerforateSpecification& a,
                    const models::PerforateSpecification& b) {
  return same_junction(a.core, b.core) && same_junction(a.space, b.space) &&
         a.hole_area == b.hole_area && a.hole_length == b.hole_length;
}

bool same_outlet(const models::OpenEndSpecification& a, const models::OpenEndSpecification& b) {
  return same_end(a.end, b.end) && a.effective_area_ratio == b.effective_area_ratio &&
         a.entry_loss == b.entry_loss && a.end_correction == b.end_correction &&
         a.position == b.position;
}

template <class Parts, class Same>
bool all_same(const Parts& a, const Parts& b, const Same& same) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), same);
}

// Pipe by pipe in the order in which they were built; names do not count.
bool same_network(const models::EngineSpecification& a, const models::EngineSpecification& b) {
  const auto same_place = [](const auto& x, const auto& y) { return same_end(x.end, y.end); };
  const auto same_cylinder = [](const models::CylinderSpecification& x,
                                const models::CylinderSpecification& y) {
    return same_end(x.exhaust, y.exhaust) && same_end(x.intake, y.intake);
  };
  return all_same(a.pipes, b.pipes, same_pipe) &&
         all_same(a.junctions, b.junctions, same_junction) &&
         all_same(a.perforates, b.perforates, same_perforate) &&
         all_same(a.open_ends, b.open_ends, same_outlet) &&
         all_same(a.closed_ends, b.closed_ends, same_place) &&
         all_same(a.anechoic_ends, b.anechoic_ends, same_place) &&
         all_same(a.cylinders, b.cylinders, same_cylinder);
}

void check_same_networks(const CaseFile& case_file, Problems& problems) {
  std::vector<models::EngineSpecification> engines;
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    engines.push_back(build_engine(case_file, case_file.headers[i]));
    const auto twin = std::find_if(engines.begin(), engines.end() - 1, [&](const auto& earlier) {
      return same_network(earlier, engines.back());
    });
    if (twin == engines.end() - 1) continue;
    const auto& first = case_file.headers[static_cast<std::size_t>(twin - engines.begin())];
    problems.remark(key_of(i) + ".name",
                    fmt::format("is the same network as \"{}\" in line {}, pipe by pipe",
                                first.name, first.line),
                    "both give the same numbers: change one of them, or remove it");
  }
}

}  // namespace

void check_likely(const CaseFile& case_file, Problems& problems) {
  check_same_networks(case_file, problems);
  if (!case_file.has_engine()) return;
  check_banks_given(case_file, problems);
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    check_meetings(case_file.headers[i], key_of(i), problems);
    check_port_step(case_file, case_file.headers[i], key_of(i), problems);
    check_crossing(case_file, case_file.headers[i], key_of(i), problems);
  }
}

}  // namespace pulsewright::cases
