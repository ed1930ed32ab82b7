#include "cases/read_primaries.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "cases/primary_pieces.hpp"
#include "cases/read_exhaust.hpp"

namespace pulsewright::cases {
namespace {

GivenSteps read_steps(Section& section, std::string_view key) {
  GivenSteps out;
  for (Section& s : section.tables(key, "step")) {
    TubeStep step;
    step.at = s.quantity("at");
    step.tube = s.tube("tube");
    step.cone_length = s.quantity("cone_length");
    s.finish();
    if (step.cone_length > 0 && step.cone_length < shortest_piece) {
      s.problem("cone_length", fmt::format("is shorter than {}", s.shown().length(shortest_piece)),
                "so short a cone is a sudden step: leave cone_length out");
    }
    out.steps.push_back(step);
    out.tables.push_back(s);
  }
  return out;
}

// The table that says how a cylinder's primary differs; null if none does.
GivenPrimary* table_of(GivenPrimaries& given, int cylinder) {
  for (GivenPrimary& one : given.single) {
    const auto& members = one.cylinders;
    if (std::find(members.begin(), members.end(), cylinder) != members.end()) return &one;
  }
  return nullptr;
}

// The steps that a cylinder's tube has.
GivenSteps& steps_of(GivenPrimaries& given, int cylinder) {
  GivenPrimary* one = table_of(given, cylinder);
  if (one && one->table.has("steps")) return one->steps;
  if (one && one->table.has("tube")) return given.none;
  return given.steps;
}

void check_steps(GivenSteps& given, const HeaderDesign& header, int cylinder) {
  const double length = header.primary_length.at(cylinder);
  const auto fault =
      first_step_fault(header.primaries.at(cylinder), header.port_transition, length);
  if (!fault) return;
  Section& s = given.tables[fault->step];
  if (fault->same_bore) {
    s.problem("tube", "has the bore of the tube before it", "a step changes the bore");
    return;
  }
  s.problem("at",
            fmt::format("lies too near to the step or taper before it, or to the end of the "
                        "tube of cylinder {}, which is {} long",
                        cylinder, s.shown().length(length)),
            fmt::format("from {} to {} here", s.shown().length(fault->from),
                        s.shown().length(fault->to)));
}

void check_transition(Section& s, const CaseFile& case_file, const HeaderDesign& header) {
  const double port = case_file.exhaust.port_length;
  if (!(port > 0)) return;
  if (!(header.port_transition > 0) && port < shortest_piece) {
    s.problem("port_transition",
              fmt::format("is a sudden step behind a port of {}", s.shown().length(port)),
              fmt::format("a port before a sudden step is {} long at least",
                          s.shown().length(shortest_piece)));
  }
  for (const auto& [cylinder, length] : header.primary_length) {
    if (length > header.port_transition) continue;
    s.problem("primary_length",
              fmt::format("the tube of cylinder {} is shorter than the transition behind the port",
                          cylinder),
              fmt::format("make the tube longer, or {}port_transition shorter",
                          s.has("port_transition") ? "" : "exhaust."));
    return;
  }
}

// The bends of every primary, the shortest first.
void check_bends(Section& s, Problems& problems, const HeaderDesign& header,
                 GivenPrimaries& given) {
  std::vector<std::pair<double, int>> by_length;
  for (const auto& [cylinder, length] : header.primary_length) {
    by_length.emplace_back(length, cylinder);
  }
  std::sort(by_length.begin(), by_length.end());
  for (const auto& [length, cylinder] : by_length) {
    const std::string message =
        bends_too_long(header.primaries.at(cylinder).bends, length, s.shown());
    if (message.empty()) continue;
    const GivenPrimary* one = table_of(given, cylinder);
    const std::string key = one && one->table.has("bends") ? one->table.path("bends")
                            : s.has("bends")               ? s.path("bends")
                                                           : "exhaust.bends";
    problems.add(
        key,
        message + fmt::format("; header \"{}\", primary of cylinder {}", header.name, cylinder),
        std::string(bends_advice));
    return;
  }
}

}  // namespace

GivenPrimaries read_primaries(Section& s, const CaseFile& case_file) {
  GivenPrimaries out;
  out.steps = read_steps(s, "primary_steps");
  out.bends = read_bends(s);
  if (!s.has("bends")) out.bends = case_file.exhaust.bends;
  for (Section& table : s.tables("primary", "header.primary")) {
    GivenPrimary one{table, {}, {}, 0, {}, {}};
    one.cylinders = one.table.integers("cylinders");
    one.tube = one.table.tube("tube");
    one.length = one.table.quantity("length");
    one.steps = read_steps(one.table, "steps");
    one.bends = read_bends(one.table);
    one.table.finish();
    out.single.push_back(std::move(one));
  }
  return out;
}

void set_primaries(const CaseFile& case_file, HeaderDesign& header, GivenPrimaries& given,
                   const std::map<int, double>& lengths) {
  for (const int cylinder : case_file.engine.firing_order) {
    header.primaries[cylinder] = {header.primary_tube, steps_of(given, cylinder).steps,
                                  given.bends};
  }
  std::set<int> seen;
  for (GivenPrimary& one : given.single) {
    for (const int cylinder : one.cylinders) {
      const auto found = header.primaries.find(cylinder);
      if (found == header.primaries.end()) {
        one.table.problem(
            "cylinders", fmt::format("names cylinder {}, which the engine does not have", cylinder),
            fmt::format("the engine has cylinders 1 to {}", case_file.engine.firing_order.size()));
        return;
      }
      if (!seen.insert(cylinder).second) {
        one.table.problem("cylinders",
                          fmt::format("names cylinder {}, which has a table already", cylinder),
                          "one table for each cylinder");
        return;
      }
      if (one.table.has("length") && lengths.contains(cylinder)) {
        one.table.problem("length",
                          fmt::format("of cylinder {} is given in lengths, too", cylinder),
                          "keep one of the two");
        return;
      }
      if (one.table.has("length")) header.primary_length[cylinder] = one.length;
      if (one.table.has("tube")) found->second.tube = one.tube;
      if (one.table.has("bends")) found->second.bends = one.bends;
    }
  }
}

void check_primaries(Section& s, Problems& problems, const CaseFile& case_file,
                     const HeaderDesign& header, GivenPrimaries& given) {
  check_transition(s, case_file, header);
  if (problems.any()) return;
  for (const auto& [cylinder, primary] : header.primaries) {
    check_steps(steps_of(given, cylinder), header, cylinder);
    if (problems.any()) return;
  }
  check_bends(s, problems, header, given);
}

}  // namespace pulsewright::cases
