#include "tools/results/study_plan.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>
#include <stdexcept>
#include <string_view>

#include "tools/results/plan_attributes.hpp"

namespace pulsewright::tools {

namespace {

[[noreturn]] void refuse(const std::string& reason) {
  throw std::invalid_argument("study plan: " + reason);
}

bool is_plain_name(std::string_view name) {
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' ||
           c == '_' || c == '-';
  };
  // "." and ".." would be read as path steps.
  return !name.empty() && name.front() != '.' && std::all_of(name.begin(), name.end(), plain);
}

void check_text(const std::string& text, const std::string& what) {
  if (text.find('\0') != std::string::npos) refuse(what + " holds a zero byte");
}

void check_texts(const std::vector<std::string>& texts, const std::string& what) {
  for (const auto& text : texts) check_text(text, what);
}

template <class Number>
bool strictly_increasing(const std::vector<Number>& values) {
  return std::adjacent_find(values.begin(), values.end(),
                            [](Number a, Number b) { return !(a < b); }) == values.end();
}

void check_header(const HeaderPlan& header_plan) {
  const std::string where = "header group '" + header_plan.group + "': ";
  if (!is_plain_name(header_plan.group)) {
    refuse(where + "must be a name of letters, digits, '.', '_', '-'");
  }
  check_text(header_plan.name, where + "name");
  for (const auto& group : header_plan.groups) check_text(group.name, where + "a collector name");
  check_texts(header_plan.merges, where + "a merge name");
  check_texts(header_plan.pipes, where + "a pipe name");
  check_texts(header_plan.tails, where + "a tail name");
  check_texts(header_plan.probes, where + "a probe name");
  check_texts(header_plan.wave_pipe_names, where + "a pipe name of the wave diagram");
  if (!std::isfinite(header_plan.cell_size)) refuse(where + "the cell size is not a number");
  if (!header_plan.merges.empty() && header_plan.merge_slots == 0) {
    refuse(where + "has merges but no slots for their pulses");
  }
  if (header_plan.wave_pipe_start.size() != header_plan.wave_pipe_names.size()) {
    refuse(where + "wave diagram has unequal numbers of pipe starts and pipe names");
  }
}

template <class Value>
void compare(std::string& difference, const std::string& what, const Value& stored,
             const Value& planned) {
  if (!difference.empty() || stored == planned) return;
  if constexpr (std::is_same_v<Value, std::string>) {
    difference = fmt::format("{}: the file has '{}', this run '{}'", what, stored, planned);
  } else if constexpr (std::is_arithmetic_v<Value>) {
    difference = fmt::format("{}: the file has {}, this run {}", what, stored, planned);
  } else {
    difference = fmt::format("{} differ ({} in the file, {} in this run)", what, stored.size(),
                             planned.size());
  }
}

// A whole case file is too long for a message: name the first line that differs.
void compare_text(std::string& difference, const std::string& stored, const std::string& planned) {
  if (!difference.empty() || stored == planned) return;
  const auto [in_stored, in_planned] =
      std::mismatch(stored.begin(), stored.end(), planned.begin(), planned.end());
  const auto line = 1 + std::count(stored.begin(), in_stored, '\n');
  const auto line_at = [](const std::string& text, std::string::const_iterator at) {
    const auto start = std::find(std::make_reverse_iterator(at), text.rend(), '\n').base();
    return std::string(start, std::find(at, text.end(), '\n'));
  };
  difference = fmt::format("case file, line {}: the file was made with '{}', this run has '{}'",
                           line, line_at(stored, in_stored), line_at(planned, in_planned));
}

void compare_headers(std::string& difference, const HeaderPlan& stored, const HeaderPlan& planned) {
  const std::string group = run_group_name(stored);
  compare(difference, "header group", group, run_group_name(planned));
  const std::string where = "header '" + group + "', ";
  compare(difference, where + "name", stored.name, planned.name);
  compare(difference, where + "kind", std::string(cases::kind_name(stored.kind)),
          std::string(cases::kind_name(planned.kind)));
  compare(difference, where + "junction law", std::string(cases::law_name(stored.junction_law)),
          std::string(cases::law_name(planned.junction_law)));
  compare(difference, where + "traces kept", stored.traces, planned.traces);
  compare(difference, where + "cell size in m", stored.cell_size, planned.cell_size);
  compare(difference, where + "cylinders", stored.cylinder_numbers, planned.cylinder_numbers);
  compare(difference, where + "merges", stored.merges, planned.merges);
  compare(difference, where + "slots per merge", stored.merge_slots, planned.merge_slots);
  compare(difference, where + "pipes", stored.pipes, planned.pipes);
  compare(difference, where + "tails", stored.tails, planned.tails);
  compare(difference, where + "probes", stored.probes, planned.probes);
  compare(difference, where + "distances of the wave diagram", stored.wave_distance,
          planned.wave_distance);
  compare(difference, where + "pipe starts of the wave diagram", stored.wave_pipe_start,
          planned.wave_pipe_start);
  compare(difference, where + "pipe names of the wave diagram", stored.wave_pipe_names,
          planned.wave_pipe_names);
  compare(difference, where + "grouping", grouping_text(stored), grouping_text(planned));
}

}  // namespace

void check_plan(const StudyPlan& plan) {
  check_text(plan.title, "title");
  check_text(plan.case_text, "case text");
  check_text(plan.case_file, "case file name");
  check_text(plan.program_version, "program version");
  check_text(plan.commit, "commit");
  if (plan.speeds.empty()) refuse("no speeds");
  for (const double speed : plan.speeds) {
    if (!(std::isfinite(speed) && speed > 0)) refuse("a speed is not a positive number");
  }
  if (!strictly_increasing(plan.speeds)) refuse("the speeds do not increase strictly");
  if (!strictly_increasing(plan.wave_speed_indices)) {
    refuse("the speeds with a wave diagram do not increase strictly");
  }
  if (!plan.wave_speed_indices.empty()) {
    if (plan.wave_speed_indices.back() >= plan.speeds.size()) {
      refuse("a wave diagram is requested at a speed that does not exist");
    }
    if (plan.wave_angles == 0) refuse("wave diagrams need at least one crank angle");
  }
  if (plan.headers.empty()) refuse("no headers");
  std::set<std::string> groups;
  for (const auto& header_plan : plan.headers) {
    check_header(header_plan);
    const std::string group = run_group_name(header_plan);
    if (!groups.insert(group).second) refuse("two runs share the group '" + group + "'");
  }
}

std::string first_difference(const StudyPlan& stored, const StudyPlan& planned) {
  std::string difference;
  compare(difference, "program version", stored.program_version, planned.program_version);
  compare(difference, "program commit", stored.commit, planned.commit);
  compare_text(difference, stored.case_text, planned.case_text);
  compare(difference, "settings", settings_text(stored.settings), settings_text(planned.settings));
  compare(difference, "ambient pressure in Pa", stored.ambient_pressure, planned.ambient_pressure);
  compare(difference, "ambient temperature in K", stored.ambient_temperature,
          planned.ambient_temperature);
  compare(difference, "number of speeds", stored.speeds.size(), planned.speeds.size());
  for (std::size_t i = 0; difference.empty() && i < planned.speeds.size(); ++i) {
    compare(difference, fmt::format("speed {} in rev/s", i + 1), stored.speeds[i],
            planned.speeds[i]);
  }
  compare(difference, "points per trace", stored.trace_points, planned.trace_points);
  compare(difference, "speeds with a wave diagram", stored.wave_speed_indices,
          planned.wave_speed_indices);
  compare(difference, "crank angles of a wave diagram", stored.wave_angles, planned.wave_angles);
  compare(difference, "number of headers", stored.headers.size(), planned.headers.size());
  for (std::size_t i = 0; difference.empty() && i < planned.headers.size(); ++i) {
    compare_headers(difference, stored.headers[i], planned.headers[i]);
  }
  return difference;
}

StudyPlan part_of(const StudyPlan& plan, const StudyPlan& stored) {
  StudyPlan part = plan;
  part.settings.quick = stored.settings.quick;
  const auto is_stored = [&](double speed) {
    return std::binary_search(stored.speeds.begin(), stored.speeds.end(), speed);
  };
  part.wave_speed_indices.clear();
  part.speeds.clear();
  for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
    if (!is_stored(plan.speeds[s])) continue;
    if (std::binary_search(plan.wave_speed_indices.begin(), plan.wave_speed_indices.end(), s)) {
      part.wave_speed_indices.push_back(part.speeds.size());
    }
    part.speeds.push_back(plan.speeds[s]);
  }
  std::set<std::string> groups;
  for (const HeaderPlan& run : stored.headers) groups.insert(run_group_name(run));
  std::erase_if(part.headers,
                [&](const HeaderPlan& run) { return groups.count(run_group_name(run)) == 0; });
  if (part.wave_speed_indices.empty()) {
    for (HeaderPlan& run : part.headers) {
      run.wave_distance.clear();
      run.wave_pipe_start.clear();
      run.wave_pipe_names.clear();
    }
  }
  return part;
}

bool has_wave_diagram(const StudyPlan& plan, const HeaderPlan& header_plan) {
  return !plan.wave_speed_indices.empty() && !header_plan.wave_distance.empty();
}

std::size_t stored_trace_points(const StudyPlan& plan, const HeaderPlan& header_plan) {
  return header_plan.traces ? plan.trace_points : 0;
}

}  // namespace pulsewright::tools
