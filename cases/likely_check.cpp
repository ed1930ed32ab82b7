#include "cases/likely_check.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <string>

#include "cases/counted.hpp"
#include "cases/grouping.hpp"
#include "cases/header_builder.hpp"
#include "cases/header_parts.hpp"
#include "cases/intake_figures.hpp"
#include "models/boundary/crank_angle.hpp"

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

// Diameter of what n tubes meet in over that of one, divided by sqrt(n): as if the area went with
// that of all tubes. Collectors of four tubes have 1.7 to 2 times the diameter of one, and 1.3 to
// 1.5 at the choke of a merge collector; two tubes may meet in one of their own size, and more
// never in a smaller one (common practice, no source; for 3, 5 and 6 tubes by the same share of the
// area).
struct UsualBore {
  double least, from, to, most;  // remarked below and above; usual between
  std::string_view what;
};
constexpr UsualBore collector_bores{0.6, 0.85, 1.0, 1.5, "collectors"};
constexpr UsualBore choke_bores{0.55, 0.65, 0.75, 1.5, "chokes of merge collectors"};
constexpr UsualBore secondary_bores{0.5, 0.75, 0.95, 1.5, "secondaries"};

void check_meeting(const Meeting& m, const UsualBore& usual, const std::string& key,
                   Problems& problems) {
  if (!(m.tube > 0 && m.bore > 0) || m.count < 2) return;
  const double all = std::sqrt(static_cast<double>(m.count));
  const double ratio = m.bore / m.tube;
  const bool small = ratio < (m.count == 2 ? 1 : std::max(1.0, usual.least * all));
  if (!small && ratio <= usual.most * all) return;
  problems.remark(
      key + "." + std::string(m.into),
      fmt::format("has a bore of {}, {:.2f} times that of the {} tubes that meet in it",
                  problems.shown().length(m.bore), ratio, m.count),
      fmt::format("{} of {} tubes have {:.2g} to {:.2g} times the diameter of one", usual.what,
                  m.count, std::max(1.0, usual.from * all), usual.to * all));
}

// A neck as wide as all tubes together is none, and with an inlet the tubes would widen into it.
void check_neck(const HeaderDesign& header, double tube, std::size_t count, const std::string& key,
                Problems& problems) {
  const double all = tube * std::sqrt(static_cast<double>(count));
  if (!(header.merge_inlet_length > 0) || !(tube > 0) || header.merge_diameter <= all) return;
  problems.remark(key + ".merge_diameter",
                  fmt::format("is wider than the {} tubes before it together, which have the area "
                              "of {}: over merge_inlet_length they would widen, not narrow",
                              count, problems.shown().length(all)),
                  "a neck is smaller than all tubes; a plain formed collector has no "
                  "merge_inlet_length");
}

void check_meetings(const HeaderDesign& header, const std::string& key, Problems& problems) {
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
    check_meeting({primary, most / subgroups, "secondary_tube", secondary}, secondary_bores, key,
                  problems);
  }
  check_meeting({tube, count, "collector_tube", header.collector_tube.inside_diameter},
                collector_bores, key, problems);
  if (header.merge_diameter < header.collector_tube.inside_diameter) {
    check_meeting({tube, count, "merge_diameter", header.merge_diameter}, choke_bores, key,
                  problems);
  }
  check_neck(header, tube, count, key, problems);
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

// Firing order and banks of two equal rows against each other: such engines fire one bank after
// the other in turn, V8s at most two of a bank in succession (common practice, no source). More of
// them come of banks that are numbered otherwise, as front to back and not across.
void check_bank_order(const CaseFile& case_file, Problems& problems) {
  const auto& order = case_file.engine.firing_order;
  const auto& banks = case_file.engine.banks;
  if (order.size() < 6 || banks.size() != 2 ||
      banks[0].cylinders.size() != banks[1].cylinders.size()) {
    return;
  }
  const auto in_first = [&](std::size_t i) {
    const auto& first = banks[0].cylinders;
    return std::find(first.begin(), first.end(), order[i % order.size()]) != first.end();
  };
  const std::size_t usual = order.size() == 8 ? 2 : 1;
  std::vector<int> longest;
  for (std::size_t i = 0; i < order.size(); ++i) {
    std::vector<int> run{order[i]};
    while (run.size() < order.size() && in_first(i + run.size()) == in_first(i)) {
      run.push_back(order[(i + run.size()) % order.size()]);
    }
    if (run.size() > longest.size()) longest = run;
  }
  if (longest.size() <= usual) return;
  problems.remark(
      "engine.banks",
      fmt::format("let cylinders {} of one bank fire in succession", fmt::join(longest, ", ")),
      fmt::format("engines of {} cylinders in two banks fire {}; check how the "
                  "cylinders are numbered, across or bank by bank",
                  order.size(),
                  usual == 2 ? "two of a bank in succession at most" : "the banks in turn"));
}

// The smallest gap between cylinders that share a tube.
struct ClosePair {
  int first = 0, second = 0;
  double deg = models::cycle_angle;
};

ClosePair closest_pair(const Engine& engine, const CollectorGroup& group) {
  ClosePair closest;
  for (const std::vector<int>& members : group.subgroups) {
    for (std::size_t i = 0; i < members.size(); ++i) {
      const int next = members[(i + 1) % members.size()];
      const double gap =
          models::fold(firing_angle(engine, next) - firing_angle(engine, members[i]));
      if (gap > 0 && gap < closest.deg) closest = {members[i], next, gap};
    }
  }
  return closest;
}

// Secondaries that were listed, against those whose cylinders fire as far apart as they can.
void check_secondaries(const CaseFile& case_file, const HeaderDesign& header,
                       const std::string& key, Problems& problems) {
  // Blowdown and the rise of the piston last about so long (common practice, no source).
  constexpr double least_usual = 180;
  if (!has_secondaries(header.kind) || !problems.has(key + ".secondaries")) return;
  for (const CollectorGroup& group : header.groups) {
    CollectorGroup apart = group;
    split_far_apart(case_file.engine, apart, static_cast<int>(group.subgroups.size()));
    const ClosePair closest = closest_pair(case_file.engine, group);
    const double best = closest_pair(case_file.engine, apart).deg;
    if (closest.deg > least_usual - 1 || closest.deg > best - 1) continue;
    std::vector<std::string> lists;
    for (const auto& members : apart.subgroups) {
      lists.push_back(fmt::format("[{}]", fmt::join(members, ", ")));
    }
    problems.remark(key + ".secondaries",
                    fmt::format("lets cylinders {} and {} share one, which fire {:.4g} deg apart",
                                closest.first, closest.second, closest.deg),
                    fmt::format("{} would be {:.4g} deg apart; left out, those are taken",
                                fmt::join(lists, ", "), best));
    return;
  }
}

// ---------------------------------------------------------------- air

// A throttle before a plenum is rated for what the engine draws at its highest speed, or a little
// less where the low end counts (common practice, no source).
void check_throttle(const CaseFile& case_file, Problems& problems) {
  constexpr double least_usual = 0.7;
  const IntakeFigures f = intake_figures(case_file);
  if (!f.demand || !f.four_barrel_flow || *f.four_barrel_flow >= least_usual * *f.demand) return;
  const bool throttled = case_file.intake.throttle_opening < 1;
  const std::string_view key = throttled                              ? "intake.throttle_opening"
                               : problems.has("intake.throttle_flow") ? "intake.throttle_flow"
                                                                      : "intake.throttle_area";
  problems.remark(
      std::string(key),
      fmt::format("passes {} at 1.5 inHg, {:.0f} % of the {} that the engine would draw at {:.0f} "
                  "rpm with full cylinders",
                  problems.shown().volume_flow(*f.four_barrel_flow),
                  100 * *f.four_barrel_flow / *f.demand, problems.shown().volume_flow(*f.demand),
                  60 * case_file.run.speeds.back()),
      throttled ? "at part throttle that is meant; otherwise leave throttle_opening out"
                : "carburettors of four barrels are chosen for about what the engine draws; check "
                  "the flow and its drop");
}

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
  check_bank_order(case_file, problems);
  check_throttle(case_file, problems);
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    check_meetings(case_file.headers[i], key_of(i), problems);
    check_port_step(case_file, case_file.headers[i], key_of(i), problems);
    check_crossing(case_file, case_file.headers[i], key_of(i), problems);
    check_secondaries(case_file, case_file.headers[i], key_of(i), problems);
  }
}

}  // namespace pulsewright::cases
