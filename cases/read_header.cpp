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
#include "cases/read_collectors.hpp"
#include "cases/read_groups.hpp"
#include "cases/read_network.hpp"
#include "cases/read_parts.hpp"
#include "cases/read_paths.hpp"
#include "cases/read_primaries.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

// Keys that only some kinds know.
struct KindKey {
  std::string_view key;
  std::vector<HeaderKind> kinds;
};

const std::vector<KindKey>& kind_keys() {
  using enum HeaderKind;
  const std::vector<HeaderKind> merged{equal_length,      degree_180,  stepped_length, four_two_one,
                                       divided_collector, six_two_one, six_three_one};
  const std::vector<HeaderKind> of_secondaries{four_two_one, six_two_one, six_three_one};
  static const std::vector<KindKey> keys{
      {"groups", merged},
      {"collector_order", {equal_length, degree_180, stepped_length, divided_collector}},
      {"collectors", {degree_180}},
      {"primary_tube", merged},
      {"secondaries", of_secondaries},
      {"primary_steps", merged},
      {"primary", merged},
      {"path", merged},
      {"port_transition", merged},
      {"merge_half_angle", merged},
      {"merge_inlet_length", merged},
      {"merge_neck_length", merged},
      {"shared_tail", merged},
      {"balance", merged},
      {"primary_length",
       {equal_length, degree_180, four_two_one, divided_collector, six_two_one, six_three_one}},
      {"shortest", {stepped_length}},
      {"longest", {stepped_length}},
      {"step", {stepped_length}},
      {"lengths", merged},
      {"bends", merged},
      {"secondary_tube", of_secondaries},
      {"secondary_length", of_secondaries},
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

void set_lengths(Section& s, const CaseFile& case_file, HeaderDesign& header, const Lengths& given,
                 const std::map<int, double>& single) {
  need_keys(s, {"primary_tube"}, "every cylinder has a primary");
  if (header.kind == HeaderKind::stepped_length) {
    step_lengths(s, given, header);
  } else {
    need_keys(s, {"primary_length"}, "every primary has a length");
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
  const auto secondaries = s.integer_lists("secondaries");
  const auto order = s.integer_lists("collector_order");
  const int collectors = s.integer("collectors");
  header.primary_tube = s.tube("primary_tube");
  const Lengths given{s.quantity("primary_length"), s.quantity("shortest"), s.quantity("longest"),
                      s.quantity("step")};
  std::map<int, double> single;
  read_single_lengths(s, case_file.engine, single);
  GivenPrimaries primaries = read_primaries(s, case_file);
  header.port_transition = s.quantity("port_transition");
  if (!s.has("port_transition")) header.port_transition = case_file.exhaust.port_transition;
  if (!(case_file.exhaust.port_length > 0)) header.port_transition = 0;  // nothing to change from
  header.secondary_tube = s.tube("secondary_tube");
  header.secondary_length = s.quantity("secondary_length");
  header.collector_tube = s.tube("collector_tube");
  header.collector_length = s.quantity("collector_length");
  header.merge_diameter = s.quantity("merge_diameter");
  header.merge_inlet_length = s.quantity("merge_inlet_length");
  header.merge_neck_length = s.quantity("merge_neck_length");
  header.merge_cone_length = s.quantity("merge_cone_length");
  header.merge_half_angle_deg = s.quantity("merge_half_angle");
  if (!s.has("merge_half_angle")) {
    header.merge_half_angle_deg = case_file.exhaust.merge_half_angle_deg;
  }
  header.divider_length = s.quantity("divider_length");
  header.tail_tube = s.tube("tail_tube");
  header.tail_length = s.quantity("tail_length");
  header.tail_cone_length = s.quantity("tail_cone_length");
  header.shared_tail = s.flag("shared_tail");
  std::vector<Section> balance = read_balance(s, case_file, header);
  if (s.has("name") && !good_name(header.name)) {
    s.problem("name", "is no good name",
              "use letters, digits, spaces and . _ + -, at most 40; for example: name = "
              "\"equal-length\"");
  }
  read_network(s, problems, case_file, header);
  header.parts = read_parts(s, case_file.ambient);
  header.probes = read_probes(s);
  header.paths = read_paths(s, case_file.engine);
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
  group_cylinders(s, case_file.engine, header, {lists, secondaries, collectors});
  if (problems.any()) return header;
  set_collector_order(s, order, header.groups);
  set_lengths(s, case_file, header, given, single);
  set_primaries(case_file, header, primaries, single);
  check_collector(s, header);
  if (problems.any()) return header;
  check_primaries(s, problems, case_file, header, primaries);
  if (problems.any()) return header;
  check_room_for_merge(s, header);
  check_joined_collectors(s, header, balance);
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
