#include "cases/read_collectors.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/counted.hpp"
#include "cases/header_parts.hpp"
#include "cases/primary_pieces.hpp"
#include "models/boundary/merge_place.hpp"

namespace pulsewright::cases {
namespace {

// Keys that stand or fall together.
void need_both(Section& s, std::string_view a, std::string_view b) {
  if (s.has(a) != s.has(b)) need_keys(s, {a, b}, fmt::format("{} and {} go together", a, b));
}

// m from the crotch of a merge to where its pipes meet, with the law that places them farthest.
double most_behind_crotch(double tube) {
  double behind = 0;
  for (const models::JunctionLaw law : junction_laws()) {
    behind = std::max(behind, models::merge_behind_crotch(tube, law));
  }
  return behind;
}

void check_balance_keys(Section& s, const BalancePipe& pipe) {
  const bool bar = pipe.kind == BalanceKind::bar;
  for (const std::string_view key : {"tube", "length"}) {
    if (s.has(key) == bar) continue;
    s.problem(key,
              bar ? "is missing; an H has a pipe of its own" : "is given, but an X has no pipe",
              bar ? fmt::format("for example: {} = {}", key,
                                find_parameter("header.balance", key)->example)
                  : std::string("remove it"));
  }
  if (bar && s.has("half_angle")) {
    s.problem("half_angle", "is given, but the pipe of an H stands across", "remove it");
  }
}

}  // namespace

void need_keys(Section& s, std::initializer_list<std::string_view> keys, std::string_view why) {
  for (const std::string_view key : keys) {
    if (s.has(key)) continue;
    s.problem(key, fmt::format("is missing; {}", why),
              fmt::format("for example: {} = {}", key, find_parameter("header", key)->example));
  }
}

std::vector<Section> read_balance(Section& header, const CaseFile& case_file,
                                  HeaderDesign& design) {
  std::vector<Section> tables = header.tables("balance", "header.balance");
  for (Section& s : tables) {
    BalancePipe pipe;
    pipe.kind = s.enumerator<BalanceKind>("kind");
    pipe.at = s.quantity("at");
    pipe.tube = s.tube("tube");
    pipe.length = s.quantity("length");
    pipe.half_angle_deg = s.quantity("half_angle");
    if (!s.has("half_angle")) pipe.half_angle_deg = case_file.exhaust.merge_half_angle_deg;
    s.finish();
    if (s.has("kind")) check_balance_keys(s, pipe);
    design.balance.push_back(pipe);
  }
  return tables;
}

void check_collector(Section& s, const HeaderDesign& header) {
  const bool merges = std::any_of(header.groups.begin(), header.groups.end(),
                                  [](const CollectorGroup& g) { return g.cylinders.size() > 1; });
  if (!merges) {
    for (const std::string_view key :
         {"collector_tube", "collector_length", "merge_diameter", "merge_inlet_length",
          "merge_neck_length", "merge_cone_length", "tail_tube", "tail_length", "shared_tail",
          "balance"}) {
      if (s.has(key)) {
        s.problem(key, "is given, but no two tubes meet in this header",
                  "remove it; a tube of one cylinder that widens has primary_steps");
      }
    }
    return;
  }
  need_keys(s, {"collector_tube", "collector_length"}, "tubes that meet need a collector");
  need_both(s, "merge_diameter", "merge_cone_length");
  need_both(s, "tail_tube", "tail_length");
  if ((s.has("merge_neck_length") || s.has("merge_inlet_length")) && !s.has("merge_diameter")) {
    need_keys(s, {"merge_diameter"}, "it is the diameter of the neck");
  }
  if (s.has("collector_length") &&
      header.merge_inlet_length + header.merge_neck_length + header.merge_cone_length >
          header.collector_length) {
    s.problem("merge_cone_length", "is longer than the collector",
              "collector_length holds the merge cone, and inlet and neck before it");
  }
  if (s.has("tail_length") && header.tail_cone_length > header.tail_length) {
    s.problem(s.has("tail_cone_length") ? "tail_cone_length" : "tail_length",
              "the tail cone is longer than the tail", "tail_length holds the tail cone");
  }
  if (header.kind == HeaderKind::divided_collector) {
    need_keys(s, {"divider_length"}, "a divided collector has a wall");
    if (s.has("divider_length") && s.has("collector_length") &&
        !(header.divider_length < header.collector_length)) {
      s.problem("divider_length", "is not shorter than the collector",
                "the halves meet inside the collector, at the end of the wall");
    }
  }
  if (has_secondaries(header.kind)) {
    need_keys(s, {"secondary_tube", "secondary_length"}, "the primaries meet in secondaries");
  }
}

void check_room_for_merge(Section& s, const HeaderDesign& header) {
  const auto check = [&](std::string_view key, double length, double tube, double taken) {
    const double behind = most_behind_crotch(tube);
    if (!s.has(key) || length > behind + taken) return;
    s.problem(key,
              fmt::format("ends within the merge, whose tubes meet up to {} behind the crotch",
                          s.shown().length(behind, 3)),
              "make it longer; it counts from the crotch, where the walls of two tubes first meet");
  };
  double primary = 0;
  for (const CollectorGroup& group : header.groups) {
    primary = std::max(primary, merging_bore(header, group.cylinders));
  }
  const double secondary = header.secondary_tube.inside_diameter;
  const bool paired = has_secondaries(header.kind);
  check("collector_length", header.collector_length, paired ? secondary : primary,
        header.merge_inlet_length + header.merge_neck_length + header.merge_cone_length);
  check("divider_length", header.divider_length, primary, 0);
  check("secondary_length", header.secondary_length, primary, 0);
}

void check_joined_collectors(Section& s, const HeaderDesign& header,
                             std::vector<Section>& balance) {
  const std::size_t collectors = header.groups.size();
  const bool single = std::any_of(header.groups.begin(), header.groups.end(),
                                  [](const auto& group) { return group.cylinders.size() == 1; });
  if (header.shared_tail) {
    need_keys(s, {"tail_tube", "tail_length"}, "collectors that meet have a tail behind them");
    if (s.has("tail_cone_length")) {
      s.problem("tail_cone_length", "is given beside shared_tail", "remove it: the Y is no cone");
    }
    if (collectors < 2 || single) {
      s.problem("shared_tail",
                fmt::format("needs two collectors; this header has {}",
                            counted(collectors, "tube group")),
                "remove it, or list groups of two cylinders and more");
    }
  }
  if (balance.empty()) return;
  if (collectors != 2 || single) {
    s.problem("balance",
              fmt::format("connects two collectors; this header has {}",
                          counted(collectors, "tube group")),
              "remove it, list two groups of two cylinders and more, or use kind = \"network\"");
    return;
  }
  const double tube = has_secondaries(header.kind)
                          ? header.secondary_tube.inside_diameter
                          : merging_bore(header, header.groups[0].cylinders);
  double from = -header.collector_length + most_behind_crotch(tube) + header.divider_length;
  const double end = header.shared_tail ? 0 : header.tail_length;
  for (std::size_t i = 0; i < balance.size(); ++i) {
    const double at = header.balance[i].at;
    if (at < from + shortest_piece || at > end - shortest_piece) {
      balance[i].problem(
          "at", "lies outside the pipes that it shall connect, or too near to the one before",
          fmt::format("between {} and {} here: negative in the collector, positive in the tail",
                      s.shown().length(from + shortest_piece),
                      s.shown().length(end - shortest_piece)));
      return;
    }
    from = at;
  }
}

}  // namespace pulsewright::cases
