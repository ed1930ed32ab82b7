#include "tools/results/root_variables.hpp"

#include <algorithm>
#include <set>
#include <string>

#include "models/figures/figure_table.hpp"
#include "tools/results/coordinates.hpp"

namespace pulsewright::tools {

namespace {

bool is_header(const HeaderPlan& run) { return run.variant == production_grid; }

// Without what depends on the speed alone, which is a coordinate there.
std::set<std::string> names_at_root(const StudyPlan& plan) {
  std::set<std::string> names{status_variable};
  models::for_each_point_figure([&](const auto& row) { names.insert(row.name); });
  for (const Coordinate& coordinate : root_coordinates(plan)) names.erase(coordinate.name);
  return names;
}

}  // namespace

std::vector<Variable> root_variables(const StudyPlan& plan) {
  const auto first = std::find_if(plan.headers.begin(), plan.headers.end(), is_header);
  if (first == plan.headers.end()) return {};
  const auto rows = static_cast<std::size_t>(std::count_if(first, plan.headers.end(), is_header));
  const std::set<std::string> names = names_at_root(plan);
  std::vector<Variable> found = header_variables(plan, *first);
  std::erase_if(found, [&](const Variable& variable) { return !names.contains(variable.name); });
  for (Variable& variable : found) {
    variable.dimensions = {"header", "speed"};
    variable.shape = {rows, plan.speeds.size()};
    variable.encode = nullptr;
    variable.decode = nullptr;
  }
  return found;
}

std::optional<std::size_t> root_row(const StudyPlan& plan, std::size_t header_index) {
  if (!is_header(plan.headers.at(header_index))) return std::nullopt;
  const auto begin = plan.headers.begin();
  return static_cast<std::size_t>(
      std::count_if(begin, begin + static_cast<std::ptrdiff_t>(header_index), is_header));
}

}  // namespace pulsewright::tools
