// An invented study with invented points: every field of every point has a value of its own.
//
// for_each_field() names the dataset of each field from the table of figures, apart from the code
// of the results store. That the table has every field, and the few names that are not those of a
// member, is tested in tests/models/figures/figure_table_test.cpp.
#pragma once

#include <algorithm>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "models/figures/figure_table.hpp"
#include "tools/results/results_store.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tests {

// ---------------------------------------------------------------- every field and its dataset

// Calls visit(name of the dataset, value) for each row that `for_each_row` visits.
template <class Part, class ForEachRow, class Visit>
void for_each_row_of(Part& part, const std::string& word, ForEachRow for_each_row, Visit& visit) {
  for_each_row([&](const auto& row) { visit(word + row.name, part.*row.member); });
}

template <class Visit>
void for_each_trace(models::CylinderTraces& traces, Visit& visit) {
  models::for_each_cylinder_trace(
      [&](const auto& row) { visit(std::string("trace_") + row.name, traces.*row.member); });
}

template <class Wave, class Visit>
void for_each_wave_field(Wave& wave, Visit& visit) {
  visit("diagram_cylinder", wave.cylinder);
  visit("diagram_angle", wave.angle);
  visit("distance", wave.distance);
  visit("diagram_pipe_start", wave.pipe_start);
  visit("diagram_pipe", wave.pipe_name);
  for_each_row_of(
      wave, "diagram_", [](const auto& row) { models::for_each_diagram_array(row); }, visit);
}

template <class Point, class Visit>
void for_each_field(Point& point, Visit& visit) {
  for_each_row_of(
      point, "", [](const auto& row) { models::for_each_point_figure(row); }, visit);
  models::for_each_ledger_line([&](const auto& line) {
    for_each_row_of(
        point.ledger.*line.member, std::string("ledger_") + line.name + "_",
        [](const auto& row) { models::for_each_ledger_column(row); }, visit);
  });
  for (auto& cylinder : point.cylinders) {
    for_each_row_of(
        cylinder, "cylinder_", [](const auto& row) { models::for_each_cylinder_figure(row); },
        visit);
  }
  for (auto& merge : point.merges) {
    for_each_row_of(
        merge, "merge_", [](const auto& row) { models::for_each_merge_figure(row); }, visit);
  }
  for (auto& pipe : point.pipes) {
    for_each_row_of(
        pipe, "pipe_", [](const auto& row) { models::for_each_pipe_figure(row); }, visit);
  }
  for (auto& traces : point.traces) {
    for_each_row_of(
        traces, "trace_", [](const auto& row) { models::for_each_cylinder_trace(row); }, visit);
  }
  for (auto& tail : point.tails) {
    for_each_row_of(
        tail, "tail_", [](const auto& row) { models::for_each_tail_trace(row); }, visit);
  }
  for (auto& probe : point.probes) {
    for_each_row_of(
        probe, "probe_", [](const auto& row) { models::for_each_probe_trace(row); }, visit);
  }
  for_each_wave_field(point.wave, visit);
}

// ---------------------------------------------------------------- the study

inline tools::HeaderPlan invented_header(const std::string& group,
                                         const tools::RunVariant& variant = {}) {
  tools::HeaderPlan plan;
  plan.group = group;
  plan.variant = variant;
  plan.name = "Invented " + group;
  plan.kind = cases::HeaderKind::equal_length;
  plan.junction_law = models::JunctionLaw::momentum;
  plan.cell_size = 0.01;
  plan.cylinder_numbers = {1, 8, 4, 3};
  plan.merges = {"left collector", "Sammler rechts \xC3\xBC"};
  plan.merge_slots = 3;
  plan.pipes = {"primary 1", "primary 8", "primary 4", "primary 3", "tail"};
  plan.tails = {"left tail", "right tail"};
  plan.probes = {"before the merge", "primary 1 at 300 mm", "nach dem Sammler \xC3\xBC"};
  plan.wave_distance = {0.005, 0.015, 0.0251, 0.1 / 3};
  plan.wave_pipe_start = {0, 0.02};
  plan.wave_pipe_names = {"primary 1", "tail"};
  plan.groups = {{"left", {1, 8, 4}, {90.0, 450.0, 180.0}, {1, 2, 3}, {}},
                 {"rechts \xC3\xBC", {3}, {720.0}, {1}, {{3}}}};
  plan.primary_length = {{1, 0.7}, {3, 0.1 / 3}, {4, 0.8}, {8, 0.9}};
  return plan;
}

inline tools::StudyPlan invented_study() {
  tools::StudyPlan plan;
  plan.title = "Invented example, not an engine";
  plan.case_text = "# invented\ntitle = \"example\"\nbore = \"94 mm\"\n";
  plan.case_file = "cases/invented.toml";
  plan.program_version = "0.0.0";
  plan.commit = "0123456";
  plan.settings = {.courant = 0.8,
                   .tolerance = 1e-3,
                   .most_cycles = 40,
                   .quick = true,
                   .band_from = 2500.0 / 60,
                   .band_to = 5500.0 / 60,
                   .build_tolerance = 0.1 / 30};
  plan.ambient_pressure = 98765.4321;
  plan.ambient_temperature = 300.1;
  plan.speeds = {2500.0 / 60, 50, 4000.0 / 60, 5500.0 / 60};
  plan.trace_points = 12;
  plan.wave_speed_indices = {1, 3};
  plan.wave_angles = 5;
  auto stepped = invented_header("stepped");
  stepped.kind = cases::HeaderKind::stepped_length;
  auto coarse = invented_header("equal-length", tools::coarse_grid);
  coarse.cell_size = 0.02;
  coarse.traces = false;
  auto pipe_only = invented_header("pipe-only");  // nothing but one pipe
  pipe_only.cylinder_numbers = {};
  pipe_only.merges = {};
  pipe_only.merge_slots = 0;
  pipe_only.pipes = {"tube"};
  pipe_only.tails = {};
  pipe_only.probes = {};
  pipe_only.wave_distance = {};
  pipe_only.wave_pipe_start = {};
  pipe_only.wave_pipe_names = {};
  pipe_only.kind = cases::HeaderKind::network;
  pipe_only.groups = {};
  pipe_only.primary_length = {};
  plan.headers = {invented_header("equal-length"), stepped, coarse, pipe_only};
  return plan;
}

// ---------------------------------------------------------------- the points

// Numbers that use the whole mantissa and never repeat in practice (SplitMix64: Steele, Lea and
// Flood, Fast splittable pseudorandom number generators, OOPSLA 2014).
class InventedNumbers {
 public:
  explicit InventedNumbers(std::uint64_t seed) : state_(seed) {}

  std::uint64_t bits() {
    state_ += 0x9E3779B97F4A7C15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
  }

  void operator()(const std::string&, double& value) {
    value = (static_cast<double>(bits() >> 11U) * 0x1p-53 - 0.5) * 2e5;
  }
  void operator()(const std::string&, int& value) { value = static_cast<int>(bits() % 1000000); }
  void operator()(const std::string&, long& value) { value = static_cast<long>(bits() >> 2U); }
  void operator()(const std::string& name, std::vector<int>& values) { all(name, values); }
  void operator()(const std::string& name, std::vector<double>& values) { all(name, values); }
  void operator()(const std::string&, std::vector<float>& values) {
    for (float& value : values) value = static_cast<float>(bits() >> 40U) * 0x1p-10F - 3.0F;
  }
  void operator()(const std::string&, std::vector<std::string>&) {}

 private:
  template <class Value>
  void all(const std::string& name, std::vector<Value>& values) {
    for (Value& value : values) (*this)(name, value);
  }
  std::uint64_t state_;
};

// A point that fits the plan. Another `generation` gives other numbers for the same point.
inline models::PointResult invented_point(const tools::StudyPlan& plan, std::size_t header_index,
                                          std::size_t speed_index, std::uint64_t generation) {
  const auto& header_plan = plan.headers[header_index];
  models::PointResult point;
  point.cylinders.resize(header_plan.cylinder_numbers.size());
  point.merges.resize(header_plan.merges.size());
  point.pipes.resize(header_plan.pipes.size());
  const bool with_traces = header_plan.traces && plan.trace_points > 0;
  point.traces.resize(with_traces ? point.cylinders.size() : 0);
  point.tails.resize(with_traces ? header_plan.tails.size() : 0);
  for (auto& trace : point.traces) {
    auto size = [&](const std::string&, std::vector<float>& values) {
      values.resize(plan.trace_points);
    };
    for_each_trace(trace, size);
  }
  for (auto& tail : point.tails) {
    models::for_each_tail_trace(
        [&](const auto& row) { (tail.*row.member).resize(plan.trace_points); });
  }
  point.probes.resize(with_traces ? header_plan.probes.size() : 0);
  for (auto& probe : point.probes) {
    models::for_each_probe_trace(
        [&](const auto& row) { (probe.*row.member).resize(plan.trace_points); });
  }
  for (std::size_t m = 0; m < point.merges.size(); ++m) {
    // Merges with different numbers of pulses, and one speed at which one meets none.
    const auto pulses = speed_index == 2 && m == 1 ? 0 : header_plan.merge_slots - m;
    point.merges[m].cylinders.resize(pulses);
    point.merges[m].arrival.resize(pulses);
    point.merges[m].gap.resize(pulses);
    point.merges[m].added_length.resize(pulses);
  }
  const auto& waves = plan.wave_speed_indices;
  const bool with_wave = !header_plan.wave_distance.empty() &&
                         std::find(waves.begin(), waves.end(), speed_index) != waves.end();
  const auto wave_values = with_wave ? plan.wave_angles * header_plan.wave_distance.size() : 0;
  point.wave.pressure.resize(wave_values);
  point.wave.velocity.resize(wave_values);

  InventedNumbers numbers(1000000 * (generation + 1) + 1000 * header_index + speed_index);
  for_each_field(point, numbers);

  // What the plan fixes.
  point.speed = plan.speeds[speed_index];
  point.converged = speed_index != 1;
  for (std::size_t i = 0; i < point.cylinders.size(); ++i) {
    point.cylinders[i].number = header_plan.cylinder_numbers[i];
  }
  for (std::size_t i = 0; i < point.merges.size(); ++i) {
    point.merges[i].name = header_plan.merges[i];
  }
  for (std::size_t i = 0; i < point.pipes.size(); ++i) point.pipes[i].name = header_plan.pipes[i];
  for (std::size_t i = 0; i < point.tails.size(); ++i) point.tails[i].name = header_plan.tails[i];
  for (std::size_t i = 0; i < point.probes.size(); ++i) {
    point.probes[i].name = header_plan.probes[i];
  }
  if (!with_wave) {
    point.wave = {};
    return point;
  }
  for (std::size_t i = 0; i < plan.wave_angles; ++i) {
    point.wave.angle.push_back(720.0 * static_cast<double>(i) /
                               static_cast<double>(plan.wave_angles));
  }
  point.wave.distance = header_plan.wave_distance;
  point.wave.pipe_start = header_plan.wave_pipe_start;
  point.wave.pipe_name = header_plan.wave_pipe_names;
  return point;
}

// ---------------------------------------------------------------- comparison

// All fields of a point by the name of their dataset: {"torque": [..], "cylinder_imep": [..], ...},
// parts one after the other; lists of a merge are padded to `slots` (0 = not) with -1 and null.
inline nlohmann::json named_values(const models::PointResult& point, std::size_t slots = 0) {
  nlohmann::json values = nlohmann::json::object();
  const auto add = [&](const std::string& name, const auto& value) {
    if constexpr (requires { value.begin(); } &&
                  !std::is_convertible_v<decltype(value), std::string>) {
      auto& list = values[name];
      if (list.is_null()) list = nlohmann::json::array();
      for (const auto& one : value) list.push_back(one);
      for (std::size_t i = value.size(); i < slots && name.starts_with("merge_"); ++i) {
        list.push_back(name == "merge_cylinder" ? nlohmann::json(-1) : nlohmann::json());
      }
    } else {
      values[name].push_back(value);
    }
  };
  for_each_field(point, add);
  return values;
}

// Everything that must come back from a file: numbers bit for bit, names, state.
inline nlohmann::json everything(const models::PointResult& point) {
  nlohmann::json all = named_values(point);
  all["converged"] = point.converged;
  for (const auto& cylinder : point.cylinders) all["number"].push_back(cylinder.number);
  for (const auto& merge : point.merges) {
    all["merge"].push_back(merge.name);
    all["pulses"].push_back(merge.cylinders.size());
  }
  for (const auto& pipe : point.pipes) all["pipe"].push_back(pipe.name);
  for (const auto& tail : point.tails) all["tail"].push_back(tail.name);
  for (const auto& probe : point.probes) all["probe"].push_back(probe.name);
  return all;
}

// Name of the first field in which two points differ; empty if they are the same in everything.
inline std::string differing_field(const models::PointResult& point,
                                   const models::PointResult& expected) {
  const auto values = everything(point);
  const auto expected_values = everything(expected);
  for (const auto& [name, value] : expected_values.items()) {
    if (!values.contains(name) || values[name] != value) return name;
  }
  for (const auto& [name, value] : values.items()) {
    if (!expected_values.contains(name)) return name;
  }
  return "";
}

// Writes every point of the store's plan, as computed in `seconds` each.
inline void write_all(tools::ResultsStore& store, std::uint64_t generation, double seconds) {
  const auto& plan = store.plan();
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      store.write(c, s, invented_point(plan, c, s, generation), seconds);
    }
  }
}

}  // namespace pulsewright::tests
