#include "validation/merge/merge_reference.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numbers>
#include <sstream>
#include <stdexcept>
#include <string_view>

#include "validation/merge/stored_reference.hpp"

namespace pulsewright::validation {

namespace {

// Cases to which a constant of the default law was fitted, as geometry_case.
constexpr std::array<std::string_view, 16> fitted_cases{
    "A_p18",       "A_p25",       "A_s06",       "A_flow",       "B_p13",       "B_s06",
    "2a08c56_p18", "2a20c56_p18", "3a10c73_p18", "3a10c73_flow", "4a08c76_p18", "4a15c76_flow",
    "4a20c76_p18", "4a20c76_p25", "4a10c92_p18", "4a10c92_s06"};

std::vector<std::string> split(const std::string& text, char between) {
  std::vector<std::string> parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, between);) parts.push_back(part);
  return parts;
}

// The rows of a file with one line of headings, each as a map from heading to text.
using Row = std::map<std::string, std::string>;
std::vector<Row> rows_of(const std::string& file) {
  std::istringstream in(file);
  std::string line;
  std::getline(in, line);
  const std::vector<std::string> head = split(line, ',');
  std::vector<Row> rows;
  while (std::getline(in, line)) {
    const std::vector<std::string> cells = split(line, ',');
    Row& row = rows.emplace_back();
    for (std::size_t i = 0; i < head.size(); ++i) row[head[i]] = i < cells.size() ? cells[i] : "";
  }
  return rows;
}

MergeGeometry geometry_of(const Row& row) {
  const auto number = [&](const char* key) { return std::stod(row.at(key)); };
  const auto stations = split(row.at("stations"), ' ');
  const auto clocks = split(row.at("clock_deg"), ' ');
  const auto count = split(row.at("tubes_like_it"), ' ');
  MergeGeometry g;
  g.name = row.at("geometry");
  for (std::size_t i = 0; i < stations.size(); ++i) {
    const double clock = std::stod(clocks.at(i));
    g.tubes.push_back({stations[i], clock});
    if (count.at(i) == "2") g.tubes.push_back({stations[i], 360 - clock});
  }
  g.half_angle_deg = number("half_angle_deg");
  g.tube_diameter = 1e-3 * number("tube_diameter_mm");
  g.collector_diameter = 1e-3 * number("collector_diameter_mm");
  g.z_crotch = 1e-3 * number("z_crotch_mm");
  g.z_m = 1e-3 * number("z_m_mm");
  g.tube_length = number("tube_length_m");
  g.collector_length = number("collector_length_m");
  if (!row.at("cone_from_mm").empty()) {
    g.cone = {1e-3 * number("cone_from_mm"), 1e-3 * number("cone_to_mm"),
              1e-3 * number("cone_diameter_mm")};
  }
  return g;
}

// Columns t_s, then for each station its p_pa and mdot_kg_s; others are left out.
MergeTraces traces_of(const std::string& text) {
  MergeTraces traces;
  const std::string suffix = "_p_pa";
  for (const std::string& column : split(text.substr(0, text.find('\n')), ',')) {
    if (!column.ends_with(suffix)) continue;
    traces.stations.push_back({column.substr(0, column.size() - suffix.size()), {}, {}});
  }
  for (const Row& row : rows_of(text)) {
    traces.t.push_back(std::stod(row.at("t_s")));
    for (MergeTrace& trace : traces.stations) {
      trace.p.push_back(std::stod(row.at(trace.station + suffix)));
      trace.mass_flow.push_back(std::stod(row.at(trace.station + "_mdot_kg_s")));
    }
  }
  return traces;
}

}  // namespace

double merge_gas_density(double p) {
  return merge_gas_p / (merge_gas_R * merge_gas_T) * std::pow(p / merge_gas_p, 1 / merge_gas_gamma);
}

double block_pressure(const MergeBlock& block, double s) {
  if (s > block.length) return merge_gas_p;
  if (!block.cosine) return block.pressure;
  return merge_gas_p +
         0.5 * (block.pressure - merge_gas_p) * (1 + std::cos(std::numbers::pi * s / block.length));
}

const std::vector<MergeGeometry>& merge_geometries() {
  static const std::vector<MergeGeometry> geometries = [] {
    std::vector<MergeGeometry> all;
    for (const Row& row : rows_of(stored_geometries())) all.push_back(geometry_of(row));
    return all;
  }();
  return geometries;
}

const std::vector<MergeCase>& merge_cases() {
  static const std::vector<MergeCase> cases = [] {
    std::vector<MergeCase> all;
    for (const Row& row : rows_of(stored_cases())) {
      const std::string& geometry = row.at("geometry");
      const std::string& name = row.at("case");
      const auto same = [&](const MergeCase& c) {
        return c.geometry == geometry && c.name == name;
      };
      auto found = std::find_if(all.begin(), all.end(), same);
      if (found == all.end()) {
        const std::string full = geometry + "_" + name;
        const bool fitted =
            std::find(fitted_cases.begin(), fitted_cases.end(), full) != fitted_cases.end();
        all.push_back({geometry, name, {}, fitted});
        found = all.end() - 1;
      }
      found->blocks.push_back({row.at("pipe"), row.at("shape") == "cosine",
                               std::stod(row.at("length_m")),
                               1e5 * std::stod(row.at("pressure_bar"))});
    }
    return all;
  }();
  return cases;
}

const MergeGeometry& merge_geometry(const std::string& name) {
  const auto& all = merge_geometries();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.name == name; });
  if (found == all.end()) throw std::invalid_argument("no geometry of a merge '" + name + "'");
  return *found;
}

const MergeCase& merge_case_named(const std::string& geometry, const std::string& name) {
  const auto& all = merge_cases();
  const auto found = std::find_if(all.begin(), all.end(), [&](const auto& one) {
    return one.geometry == geometry && one.name == name;
  });
  if (found == all.end()) {
    throw std::invalid_argument("no case '" + name + "' of a merge '" + geometry + "'");
  }
  return *found;
}

// Traces are called geometry_case_hNNN, NNN the cells of the grid in 10 um.
MergeReference merge_reference(const MergeCase& merge_case, double h) {
  const std::string begin = fmt::format("{}_{}_h", merge_case.geometry, merge_case.name);
  const StoredTrace* finest = nullptr;
  double grid = 1;
  for (const StoredTrace& trace : stored_traces()) {
    if (!trace.name.starts_with(begin)) continue;
    const double edge = std::stod(trace.name.substr(begin.size())) * 1e-5;
    if (edge >= grid || edge < 0.999 * h) continue;
    finest = &trace;
    grid = edge;
  }
  if (!finest) throw std::invalid_argument("no trace of a merge " + begin);
  return {grid, traces_of(finest->text)};
}

}  // namespace pulsewright::validation
