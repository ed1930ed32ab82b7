#include "cases/read_header.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <initializer_list>
#include <set>

#include "cases/case_text.hpp"
#include "cases/collector_order.hpp"
#include "cases/grouping.hpp"
#include "cases/header_probes.hpp"
#include "cases/read_exhaust.hpp"
#include "cases/read_groups.hpp"
#include "cases/read_network.hpp"
#include "cases/visible_text.hpp"
#include "models/boundary/merge_place.hpp"

namespace pulsewright::cases {
namespace {

// Keys that only some kinds know.
struct KindKey {
  std::string_view key;
  std::vector<HeaderKind> kinds;
};

const std::vector<KindKey>& kind_keys() {
  using enum HeaderKind;
  const std::vector<HeaderKind> merged{equal_length, degree_180, stepped_length, four_two_one,
                                       divided_collector};
  static const std::vector<KindKey> keys{
      {"groups", merged},
      {"collector_order", {equal_length, degree_180, stepped_length, divided_collector}},
      {"collectors", {degree_180}},
      {"primary_tube", merged},
      {"primary_length", {equal_length, degree_180, four_two_one, divided_collector}},
      {"shortest", {stepped_length}},
      {"longest", {stepped_length}},
      {"step", {stepped_length}},
      {"lengths", merged},
      {"bends", merged},
      {"secondary_tube", {four_two_one}},
      {"secondary_length", {four_two_one}},
      {"collector_tube", merged},
      {"collector_length", merged},
      {"merge_diameter", merged},
      {"merge_cone_length", merged},
      {"divider_length", {divided_collector}},
      {"tail_tube", merged},
      {"tail_length", merged},
      {"tail_cone_length", merged},
      {"pipe", {network}},
      {"junction", {network}},
  };
  return keys;
}

void check_keys_of_kind(Section& s, HeaderKind kind) {
  for (const KindKey& entry : kind_keys()) {
    if (!s.has(entry.key)) continue;
    if (std::find(entry.kinds.begin(), entry.kinds.end(), kind) != entry.kinds.end()) continue;
    std::string kinds;
    for (const HeaderKind known : entry.kinds) {
      kinds += fmt::format("{}\"{}\"", kinds.empty() ? "" : ", ", kind_name(known));
    }
    s.problem(entry.key, fmt::format("does not belong to kind = \"{}\"", kind_name(kind)),
              fmt::format("it belongs to kind {}; remove it, or change kind", kinds));
  }
}

void need(Section& s, std::initializer_list<std::string_view> keys, std::string_view why) {
  for (const std::string_view key : keys) {
    if (s.has(key)) continue;
    s.problem(key, fmt::format("is missing; {}", why),
              fmt::format("for example: {} = {}", key, find_parameter("header", key)->example));
  }
}

// Keys that stand or fall together.
void need_both(Section& s, std::string_view a, std::string_view b) {
  if (s.has(a) != s.has(b)) need(s, {a, b}, fmt::format("{} and {} go together", a, b));
}

// ---------------------------------------------------------------- lengths

struct Lengths {
  double primary = 0, shortest = 0, longest = 0, step = 0;
};

void step_lengths(Section& s, const Lengths& given, HeaderDesign& header) {
  if (!s.has("shortest") || s.has("longest") == s.has("step")) {
    s.problem(
        s.has("shortest") ? "longest" : "shortest",
        s.has("shortest") && s.has("step") ? "is given beside step" : "is missing",
        "a stepped-length header has shortest, and either longest or step; for example: shortest = "
        "\"28 in\", longest = \"34 in\"");
    return;
  }
  for (const CollectorGroup& group : header.groups) {
    const double span = given.step * static_cast<double>(group.cylinders.size() - 1);
    const double longest = s.has("longest") ? given.longest : given.shortest + span;
    if (!(longest > given.shortest)) {
      s.problem("longest", "is not longer than shortest",
                "for example: shortest = \"28 in\", longest = \"34 in\"");
      return;
    }
    if (leading_of_close_pair(group) < 0) {
      s.problem("kind",
                fmt::format("has no close pair to step for: all gaps between the cylinders of '{}' "
                            "are equal",
                            group.name),
                "use kind = \"equal-length\"; single lengths can be set with lengths");
      return;
    }
    const std::vector<double> lengths = stepped_lengths(group, given.shortest, longest);
    for (std::size_t i = 0; i < lengths.size(); ++i) {
      header.primary_length[group.cylinders[i]] = lengths[i];
    }
  }
}

void read_single_lengths(Section& s, const Engine& engine, std::map<int, double>& out) {
  const Parameter& like = *find_parameter("header", "primary_length");
  s.entries("lengths", [&](const std::string& name, const toml::node& node) {
    int cylinder = 0;
    const auto [end, error] = std::from_chars(name.data(), name.data() + name.size(), cylinder);
    const bool number = error == std::errc() && end == name.data() + name.size();
    const int n = static_cast<int>(engine.firing_order.size());
    if (!number || cylinder < 1 || cylinder > n) {
      s.problem("lengths",
                fmt::format("names cylinder '{}', which the engine does not have", shortened(name)),
                fmt::format("the engine has cylinders 1 to {}; for example: lengths = {}", n,
                            find_parameter("header", "lengths")->example));
      return;
    }
    out[cylinder] = s.quantity_of(node, s.path("lengths") + "." + name, like);
  });
}

// ---------------------------------------------------------------- tubes behind the merge

void check_collector(Section& s, const HeaderDesign& header) {
  const bool merges = std::any_of(header.groups.begin(), header.groups.end(),
                                  [](const CollectorGroup& g) { return g.cylinders.size() > 1; });
  if (!merges) {
    for (const std::string_view key : {"collector_tube", "collector_length", "merge_diameter",
                                       "merge_cone_length", "tail_tube", "tail_length"}) {
      if (s.has(key)) {
        s.problem(
            key, "is given, but no two tubes meet in this header",
            "remove it; a tube of one cylinder that widens is described by kind = \"network\"");
      }
    }
    return;
  }
  need(s, {"collector_tube", "collector_length"}, "tubes that meet need a collector");
  need_both(s, "merge_diameter", "merge_cone_length");
  need_both(s, "tail_tube", "tail_length");
  if (s.has("collector_length") && header.merge_cone_length > header.collector_length) {
    s.problem("merge_cone_length", "is longer than the collector",
              "collector_length holds the merge cone");
  }
  if (s.has("tail_length") && header.tail_cone_length > header.tail_length) {
    s.problem(s.has("tail_cone_length") ? "tail_cone_length" : "tail_length",
              "the tail cone is longer than the tail", "tail_length holds the tail cone");
  }
  if (header.kind == HeaderKind::divided_collector) {
    need(s, {"divider_length"}, "a divided collector has a wall");
    if (s.has("divider_length") && s.has("collector_length") &&
        !(header.divider_length < header.collector_length)) {
      s.problem("divider_length", "is not shorter than the collector",
                "the halves meet inside the collector, at the end of the wall");
    }
  }
  if (header.kind == HeaderKind::four_two_one) {
    need(s, {"secondary_tube", "secondary_length"}, "pairs meet in secondaries");
  }
}

// The pipes of a merge meet behind its crotch, from which lengths count: what follows must reach
// further, with every law.
void check_room_for_merge(Section& s, const HeaderDesign& header) {
  const auto check = [&](std::string_view key, double length, double tube, double taken) {
    double behind = 0;
    for (const models::JunctionLaw law : junction_laws()) {
      behind = std::max(behind, models::merge_behind_crotch(tube, law));
    }
    if (!s.has(key) || length > behind + taken) return;
    s.problem(key,
              fmt::format("ends within the merge, whose tubes meet up to {} behind the crotch",
                          s.shown().length(behind, 3)),
              "make it longer; it counts from the crotch, where the walls of two tubes first meet");
  };
  const double primary = header.primary_tube.inside_diameter;
  const double secondary = header.secondary_tube.inside_diameter;
  const bool paired = header.kind == HeaderKind::four_two_one;
  check("collector_length", header.collector_length, paired ? secondary : primary,
        header.merge_cone_length);
  check("divider_length", header.divider_length, primary, 0);
  check("secondary_length", header.secondary_length, primary, 0);
}

void check_transition(Section& s, const CaseFile& case_file, const HeaderDesign& header) {
  if (!(case_file.exhaust.port_length > 0)) return;
  for (const auto& [cylinder, length] : header.primary_length) {
    if (length > case_file.exhaust.port_transition) continue;
    s.problem("primary_length",
              fmt::format("the tube of cylinder {} is shorter than the transition behind the port",
                          cylinder),
              "make the tube longer, or exhaust.port_transition shorter");
    return;
  }
}

// The bends of every primary against the shortest of them.
void check_primary_bends(Section& s, Problems& problems, const HeaderDesign& header) {
  const auto shortest = std::min_element(header.primary_length.begin(), header.primary_length.end(),
                                         [](auto& a, auto& b) { return a.second < b.second; });
  const std::string message = bends_too_long(header.bends, shortest->second, s.shown());
  if (message.empty()) return;
  const std::string tube =
      fmt::format("; header \"{}\", primary of cylinder {}", header.name, shortest->first);
  problems.add(s.has("bends") ? s.path("bends") : "exhaust.bends", message + tube,
               std::string(bends_advice));
}

void set_lengths(Section& s, const CaseFile& case_file, HeaderDesign& header, const Lengths& given,
                 const std::map<int, double>& single) {
  need(s, {"primary_tube"}, "every cylinder has a primary");
  if (header.kind == HeaderKind::stepped_length) {
    step_lengths(s, given, header);
  } else {
    need(s, {"primary_length"}, "every primary has a length");
    for (const int cylinder : case_file.engine.firing_order) {
      header.primary_length[cylinder] = given.primary;
    }
  }
  for (const auto& [cylinder, length] : single) header.primary_length[cylinder] = length;
}

HeaderDesign read_header(Section& s, Problems& problems, const CaseFile& case_file) {
  HeaderDesign header;
  header.line = s.line();
  header.name = s.text("name");
  header.notes = s.lines("notes");
  header.kind = s.enumerator<HeaderKind>("kind");
  const auto lists = s.integer_lists("groups");
  const auto order = s.integer_lists("collector_order");
  const int collectors = s.integer("collectors");
  header.primary_tube = s.tube("primary_tube");
  const Lengths given{s.quantity("primary_length"), s.quantity("shortest"), s.quantity("longest"),
                      s.quantity("step")};
  std::map<int, double> single;
  read_single_lengths(s, case_file.engine, single);
  header.bends = s.has("bends") ? read_bends(s) : (read_bends(s), case_file.exhaust.bends);
  header.secondary_tube = s.tube("secondary_tube");
  header.secondary_length = s.quantity("secondary_length");
  header.collector_tube = s.tube("collector_tube");
  header.collector_length = s.quantity("collector_length");
  header.merge_diameter = s.quantity("merge_diameter");
  header.merge_cone_length = s.quantity("merge_cone_length");
  header.divider_length = s.quantity("divider_length");
  header.tail_tube = s.tube("tail_tube");
  header.tail_length = s.quantity("tail_length");
  header.tail_cone_length = s.quantity("tail_cone_length");
  if (s.has("name") && !good_name(header.name)) {
    s.problem("name", "is no good name",
              "use letters, digits, spaces and . _ + -, at most 40; for example: name = "
              "\"equal-length\"");
  }
  read_network(s, problems, case_file, header);
  header.probes = read_probes(s);
  s.finish();
  if (problems.any()) return header;
  check_keys_of_kind(s, header.kind);
  if (header.kind == HeaderKind::network) return header;
  if (!case_file.has_engine()) {
    s.problem("kind",
              fmt::format("\"{}\" needs an engine, and the case has none", kind_name(header.kind)),
              "use kind = \"network\", or describe the engine under [engine]");
    return header;
  }
  if (problems.any()) return header;
  group_cylinders(s, case_file.engine, header, lists, collectors);
  if (problems.any()) return header;
  set_collector_order(s, order, header.groups);
  set_lengths(s, case_file, header, given, single);
  check_collector(s, header);
  if (problems.any()) return header;
  check_transition(s, case_file, header);
  check_primary_bends(s, problems, header);
  if (!problems.any()) check_room_for_merge(s, header);
  return header;
}

}  // namespace

std::vector<HeaderDesign> read_headers(Section& top, Problems& problems,
                                       const CaseFile& case_file) {
  std::vector<HeaderDesign> out;
  std::set<std::string> names;
  std::vector<Section> tables = top.tables("header", "header");
  for (Section& section : tables) {
    out.push_back(read_header(section, problems, case_file));
    if (!out.back().name.empty() && !names.insert(out.back().name).second) {
      section.problem("name", "is the name of an earlier header", "give every header its own name");
    }
  }
  if (top.has("header") && tables.empty() && !problems.any()) {
    top.problem("header", "is empty", "begin each header with a line [[header]]");
  }
  return out;
}

}  // namespace pulsewright::cases
