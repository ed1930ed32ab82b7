#include "tools/results/coordinates.hpp"

#include <cmath>
#include <numeric>

#include "models/boundary/crank_angle.hpp"
#include "tools/results/plan_attributes.hpp"

namespace pulsewright::tools {

namespace {

constexpr const char* engine_angle_text =
    "crank angle of the engine, 0 = firing top dead centre of cylinder 1";

std::vector<double> in_rpm(const std::vector<double>& speeds) {
  std::vector<double> result;
  result.reserve(speeds.size());
  for (const double speed : speeds) result.push_back(std::round(speed * 60 * 1e6) / 1e6);
  return result;
}

std::vector<int> numbers_from_1(std::size_t count) {
  std::vector<int> numbers(count);
  std::iota(numbers.begin(), numbers.end(), 1);
  return numbers;
}

std::vector<double> diagram_speeds(const StudyPlan& plan) {
  std::vector<double> speeds;
  for (const auto index : plan.wave_speed_indices) speeds.push_back(plan.speeds[index]);
  return in_rpm(speeds);
}

}  // namespace

std::size_t Coordinate::size() const {
  return std::visit([](const auto& list) { return list.size(); }, values);
}

Coordinate speed_coordinate(const StudyPlan& plan) {
  return {"speed", "speed", "rpm", "engine speed", in_rpm(plan.speeds)};
}

std::vector<Coordinate> root_coordinates(const StudyPlan& plan) {
  std::vector<std::string> names;
  std::vector<std::string> groups;
  for (const auto& run : plan.headers) {
    if (run.variant != production_grid) continue;
    names.push_back(run.name);
    groups.push_back(run_group_name(run));
  }
  return {
      speed_coordinate(plan),
      {"rotation_rate", "speed", "Hz", "revolutions of the crankshaft per second", plan.speeds},
      {"header", "header", "", "name of the header", names},
      {"header_group", "header", "", "group of the header below headers", groups},
  };
}

Coordinate checked_coordinate(const std::vector<Variable>& variables) {
  std::vector<std::string> names;
  for (const auto& variable : variables) {
    if (variable.name != checksum_variable) names.push_back(variable.name);
  }
  return {checked_dimension, checked_dimension, "", "name of a variable that has a checksum",
          names};
}

std::vector<Coordinate> header_coordinates(const StudyPlan& plan, const HeaderPlan& header_plan) {
  const auto trace_angles = models::even_angles(stored_trace_points(plan, header_plan));
  const bool has_diagram = has_wave_diagram(plan, header_plan);
  const std::size_t slots = header_plan.merges.empty() ? 0 : header_plan.merge_slots;
  return {
      speed_coordinate(plan),
      {"cylinder", "cylinder", "1", "builder's number of the cylinder",
       header_plan.cylinder_numbers},
      {"merge_name", "merge_name", "", "name of the merge", header_plan.merges},
      {"slot", "slot", "1", "rank in the order of arrival, from 1", numbers_from_1(slots)},
      {"pipe_name", "pipe_name", "", "name of the pipe", header_plan.pipes},
      {"tail_name", "tail_name", "", "name of the tail", header_plan.tails},
      {"probe", "probe", "", "name of the probe", header_plan.probes},
      {"crank_angle", "crank_angle", "degree",
       "crank angle of the cylinder, 0 = its own firing top dead centre", trace_angles},
      {"engine_angle", "engine_angle", "degree", engine_angle_text, trace_angles},
      {"diagram_speed", "diagram_speed", "rpm", "engine speed of the wave diagram",
       has_diagram ? diagram_speeds(plan) : std::vector<double>{}},
      {"diagram_angle", "diagram_angle", "degree", engine_angle_text,
       models::even_angles(has_diagram ? plan.wave_angles : 0)},
      // The path stands in the file without a diagram too, so that the plan can be read back.
      {"distance", "distance", "m", "distance from the valve along the path of the wave diagram",
       header_plan.wave_distance},
      {"diagram_pipe", "diagram_pipe", "", "name of a pipe on the path of the wave diagram",
       header_plan.wave_pipe_names},
      {"diagram_pipe_start", "diagram_pipe", "m",
       "distance from the valve at which the pipe starts", header_plan.wave_pipe_start},
  };
}

}  // namespace pulsewright::tools
