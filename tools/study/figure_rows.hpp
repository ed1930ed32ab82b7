// Rows of the table of figures (models/figures/figure_table.inc) for whoever prints or writes some
// of them: the row of a member, and a part of a result as JSON. Names come from the row alone.
#pragma once

#include <nlohmann/json.hpp>
#include <stdexcept>
#include <type_traits>

#include "models/figures/figure_table.hpp"

namespace pulsewright::tools {

// The key of a member among the rows that `for_each_row` visits. Throws std::logic_error where no
// row has it.
template <class Member, class ForEachRow>
const char* key_of(Member member, ForEachRow for_each_row) {
  const char* key = nullptr;
  for_each_row([&](const auto& row) {
    if constexpr (std::is_same_v<std::remove_cvref_t<decltype(row.member)>, Member>) {
      if (row.member == member) key = row.key;
    }
  });
  if (key == nullptr) throw std::logic_error("the table of figures has no row of this member");
  return key;
}

// The key of a figure of a point, of a cylinder or of a trace.
inline const char* key_of(double models::PointResult::*member) {
  return key_of(member, [](const auto& visit) { models::for_each_point_figure(visit); });
}
inline const char* key_of(double models::CylinderFigures::*member) {
  return key_of(member, [](const auto& visit) { models::for_each_cylinder_figure(visit); });
}
inline const char* key_of(std::vector<float> models::CylinderTraces::*member) {
  return key_of(member, [](const auto& visit) { models::for_each_cylinder_trace(visit); });
}

// A figure of every row that `for_each_row` visits, by its key.
template <class Part, class ForEachRow>
nlohmann::json figures_json(const Part& part, ForEachRow for_each_row) {
  nlohmann::json j = nlohmann::json::object();
  for_each_row([&](const auto& row) { j[row.key] = part.*row.member; });
  return j;
}

inline nlohmann::json merge_json(const models::MergeFigures& merge) {
  return figures_json(merge, [](const auto& visit) { models::for_each_merge_figure(visit); });
}

}  // namespace pulsewright::tools
