#include "cases/parameters.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>

#include "cases/parameter_table.hpp"

namespace pulsewright::cases {

namespace {

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t space = text.find(' ');
    out.emplace_back(text.substr(0, space));
    text = space == std::string_view::npos ? std::string_view() : text.substr(space + 1);
  }
  return out;
}

}  // namespace

std::vector<std::string> choices_of(const Parameter& parameter) {
  return words_of(parameter.choices);
}

const Parameter* find_former(std::string_view section, std::string_view key) {
  for (const Parameter& parameter : parameters()) {
    if (parameter.section == section && parameter.former_key == key) return &parameter;
  }
  return nullptr;
}

std::string new_choice(const Parameter& parameter, std::string_view former) {
  const std::vector<std::string> now = choices_of(parameter);
  const std::vector<std::string> before = words_of(parameter.former_choices);
  for (std::size_t i = 0; i < before.size() && i < now.size(); ++i) {
    if (before[i] == former) return now[i];
  }
  return {};
}

std::string choice_of(const Parameter& parameter, std::size_t index) {
  return choices_of(parameter).at(index);
}

std::optional<std::size_t> choice_index(const Parameter& parameter, std::string_view choice) {
  const std::vector<std::string> choices = choices_of(parameter);
  const auto found = std::find(choices.begin(), choices.end(), choice);
  if (found == choices.end()) return std::nullopt;
  return static_cast<std::size_t>(found - choices.begin());
}

double value_of(std::string_view text, const Parameter& parameter) {
  if (parameter.dimension != Dimension::none) return parse_quantity(text, parameter.dimension);
  return std::stod(std::string(text));
}

std::string default_text(const Parameter& parameter) {
  const Default& given = parameter.fallback;
  if (given.value == nullptr) return std::string(given.text);
  const double value = given.value();
  if (parameter.kind == ValueKind::flag) return value != 0 ? "true" : "false";
  if (parameter.kind == ValueKind::choice) {
    return choice_of(parameter, static_cast<std::size_t>(value));
  }
  if (given.unit.empty()) return fmt::format("{:.12g}", value);
  // A valve event is an angle and a dead centre, both in the unit: "deg ATDC".
  if (parameter.kind == ValueKind::valve_event) return fmt::format("{:.12g} {}", value, given.unit);
  return fmt::format("{:.12g} {}", in_unit(value, given.unit), given.unit);
}

double default_value(const Parameter& parameter) {
  const Default& given = parameter.fallback;
  if (given.value != nullptr) return given.value();
  if (given.text.empty()) return 0;
  if (parameter.kind == ValueKind::flag) return given.text == "true" ? 1 : 0;
  return value_of(given.text, parameter);
}

Range allowed_range(std::string_view section, std::string_view key) {
  const Parameter* parameter = find_parameter(section, key);
  if (parameter == nullptr || parameter->least.empty() || parameter->greatest.empty()) {
    throw std::invalid_argument(fmt::format("{}.{} has no two limits", section, key));
  }
  return {value_of(parameter->least, *parameter), value_of(parameter->greatest, *parameter)};
}

const Parameter* find_parameter(std::string_view section, std::string_view key) {
  for (const Parameter& parameter : parameters()) {
    if (parameter.section == section && parameter.key == key) return &parameter;
  }
  return nullptr;
}

std::vector<std::string> keys_of(std::string_view section) {
  std::vector<std::string> out;
  for (const Parameter& parameter : parameters()) {
    if (parameter.section == section) out.emplace_back(parameter.key);
  }
  return out;
}

namespace {

std::string range_text(const Parameter& parameter, const QuantityText& shown) {
  const auto text = [&](std::string_view limit) { return limit_text(limit, parameter, shown); };
  const std::string_view least = parameter.least, greatest = parameter.greatest;
  if (!least.empty() && !greatest.empty()) {
    return fmt::format(" from {} to {}", text(least), text(greatest));
  }
  if (!least.empty()) return fmt::format(" of at least {}", text(least));
  if (!greatest.empty()) return fmt::format(" of at most {}", text(greatest));
  return {};
}

}  // namespace

std::string limit_text(std::string_view limit, const Parameter& parameter,
                       const QuantityText& shown) {
  const bool tube =  // by its inside diameter
      parameter.kind == ValueKind::tube || parameter.kind == ValueKind::tubes;
  return shown.of_text(limit, tube ? Dimension::length : parameter.dimension);
}

std::string example_line(const Parameter& parameter) {
  if (parameter.example.empty()) return {};
  if (parameter.example.front() == '[' && parameter.kind == ValueKind::table) {
    return fmt::format("begin it with a line {}", parameter.example);
  }
  if (parameter.kind == ValueKind::tables && parameter.example.substr(0, 2) == "[[") {
    return fmt::format("begin each with a line {}", parameter.example);
  }
  return fmt::format("for example: {} = {}", parameter.key, parameter.example);
}

std::string allowed_text(const Parameter& parameter, const QuantityText& shown) {
  const std::string range = range_text(parameter, shown);
  const bool vowel =
      parameter.dimension == Dimension::angle || parameter.dimension == Dimension::area;
  switch (parameter.kind) {
    case ValueKind::quantity:
      return fmt::format("{} {} with its unit{}", vowel ? "an" : "a",
                         dimension_name(parameter.dimension), range);
    case ValueKind::quantities:
      return fmt::format("an array of {}s, each with its unit{}",
                         dimension_name(parameter.dimension), range);
    case ValueKind::number:
      return fmt::format("a plain number{}", range);
    case ValueKind::numbers:
      return fmt::format("an array of plain numbers{}", range);
    case ValueKind::integer:
      return fmt::format("a whole number{}", range);
    case ValueKind::integers:
      return fmt::format("an array of whole numbers{}", range);
    case ValueKind::integer_lists:
      return fmt::format("an array of arrays of whole numbers{}", range);
    case ValueKind::flag:
      return "true or false";
    case ValueKind::text:
      return "a text in quotes";
    case ValueKind::choice: {
      std::string out = "one of: ";
      const std::vector<std::string> choices = choices_of(parameter);
      for (std::size_t i = 0; i < choices.size(); ++i) {
        out += fmt::format("{}\"{}\"", i == 0 ? "" : ", ", choices[i]);
      }
      return out;
    }
    case ValueKind::tube:
      return fmt::format("a tube size, inside diameter{}", range);
    case ValueKind::tubes:
      return fmt::format("an array of tube sizes, inside diameter{}", range);
    case ValueKind::valve_event:
      return "an angle before or after a dead centre (BTDC, ATDC, BBDC, ABDC)";
    case ValueKind::free_table:
    case ValueKind::table:
      return "a table";
    case ValueKind::tables:
      return "an array of tables";
  }
  return {};
}

}  // namespace pulsewright::cases
