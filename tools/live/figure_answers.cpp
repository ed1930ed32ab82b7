#include "tools/live/figure_answers.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <vector>

#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "models/figures/figure_table.hpp"
#include "tools/study/band.hpp"

namespace pulsewright::tools {

using nlohmann::json;

namespace {

template <class ForEachRow>
json rows_of(ForEachRow for_each_row) {
  json list = json::array();
  for_each_row([&](const auto& row) {
    list.push_back({{"key", row.key}, {"unit", row.unit}, {"text", row.text}});
  });
  return list;
}

json figures() {
  const auto rows = [](auto for_each) { return rows_of(for_each); };
  return {{"point", rows([](const auto& visit) { models::for_each_point_figure(visit); })},
          {"cylinder", rows([](const auto& visit) { models::for_each_cylinder_figure(visit); })},
          {"merge", rows([](const auto& visit) { models::for_each_merge_figure(visit); })},
          {"pipe", rows([](const auto& visit) { models::for_each_pipe_figure(visit); })},
          {"trace", rows([](const auto& visit) { models::for_each_cylinder_trace(visit); })}};
}

// Speeds of the request in rev/min, as those of tools/study in rev/s.
json band(const json& request) {
  auto speeds = request.at("speeds_rpm").get<std::vector<double>>();
  const auto values = request.at("values").get<std::vector<double>>();
  if (speeds.size() != values.size() || speeds.empty()) {
    throw std::invalid_argument("a band needs as many values as speeds, one at least");
  }
  for (double& speed : speeds) speed /= 60;
  const double from = request.at("from_rpm").get<double>() / 60;
  const double to = request.at("to_rpm").get<double>() / 60;
  const std::vector<double> weights = band_weights(speeds, from, to);
  double mean = 0;
  for (std::size_t i = 0; i < values.size(); ++i) mean += weights[i] * values[i];
  const auto reached = reached_band(speeds, from, to);
  return {{"mean", mean},
          {"error", resolution_error(interval_errors(speeds, values, from, to))},
          {"from_rpm", 60 * reached.first},
          {"to_rpm", 60 * reached.second}};
}

double si_value(std::string_view text, const cases::Parameter& parameter) {
  switch (parameter.kind) {
    case cases::ValueKind::quantity:
    case cases::ValueKind::quantities:
      return cases::parse_quantity(text, parameter.dimension);
    case cases::ValueKind::number:
    case cases::ValueKind::numbers:
    case cases::ValueKind::integer:
    case cases::ValueKind::integers:
      return cases::parse_number(text);
    case cases::ValueKind::tube:
    case cases::ValueKind::tubes:
      return cases::parse_tube(text).inside_diameter;
    default:
      throw std::invalid_argument(fmt::format("{} is not a number", parameter.key));
  }
}

json value(const json& request) {
  const std::string section = request.at("section"), key = request.at("key");
  const cases::Parameter* parameter = cases::find_parameter(section, key);
  if (parameter == nullptr) {
    throw std::invalid_argument(fmt::format("there is no key {} in [{}]", key, section));
  }
  json j{{"si", si_value(request.at("text").get<std::string>(), *parameter)}};
  if (request.contains("unit")) {
    j["in_unit"] = cases::in_unit(j["si"].get<double>(), request["unit"].get<std::string>());
  }
  return j;
}

}  // namespace

json figure_answer(const std::string& call, const json& request) {
  if (call == "figures") return figures();
  if (call == "band") return band(request);
  if (call == "value") return value(request);
  return nullptr;
}

}  // namespace pulsewright::tools
