#include "tools/live/case_answers.hpp"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string_view>
#include <toml++/toml.h>
#include <utility>

#include "cases/case_reader.hpp"
#include "cases/case_text.hpp"
#include "cases/parameter_table.hpp"
#include "cases/text_changes.hpp"
#include "models/sizing/tube_stock.hpp"
#include "tools/report/bench_sheet.hpp"
#include "tools/report/header_drawing.hpp"

namespace pulsewright::tools {
namespace {

using cases::Parameter;
using cases::ValueKind;
using nlohmann::json;

std::string text_at(const json& request, const char* name) {
  const auto found = request.find(name);
  if (found == request.end() || !found->is_string()) {
    throw std::invalid_argument(fmt::format("the request has no text '{}'", name));
  }
  return found->get<std::string>();
}

cases::MessageUnits units_at(const json& request) {
  const std::string units = request.value("units", "metric");
  if (units != "metric" && units != "inch") {
    throw std::invalid_argument(fmt::format("'{}' are no units: metric or inch", units));
  }
  return units == "inch" ? cases::MessageUnits::inch : cases::MessageUnits::metric;
}

// ---------------------------------------------------------------- the parameter table

constexpr std::array<std::pair<ValueKind, const char*>, 16> kinds{
    {{ValueKind::quantity, "quantity"},
     {ValueKind::quantities, "quantities"},
     {ValueKind::number, "number"},
     {ValueKind::numbers, "numbers"},
     {ValueKind::integer, "integer"},
     {ValueKind::integers, "integers"},
     {ValueKind::flag, "flag"},
     {ValueKind::text, "text"},
     {ValueKind::choice, "choice"},
     {ValueKind::tube, "tube"},
     {ValueKind::tubes, "tubes"},
     {ValueKind::valve_event, "valve_event"},
     {ValueKind::integer_lists, "integer_lists"},
     {ValueKind::free_table, "free_table"},
     {ValueKind::table, "table"},
     {ValueKind::tables, "tables"}}};

const char* kind_word(ValueKind kind) {
  for (const auto& [one, word] : kinds) {
    if (one == kind) return word;
  }
  throw std::logic_error("a kind of value has no name");
}

// The section of the tables under a key; "" for a key that is no table with keys of its own.
std::string table_section(const Parameter& parameter) {
  if (parameter.kind != ValueKind::table && parameter.kind != ValueKind::tables) return "";
  const std::string key(parameter.key);
  if (key == "exhaust_valve" || key == "intake_valve") return "valve";
  if (key == "bends") return "bend";
  if (key == "primary_steps" || key == "steps") return "step";
  if (key == "profile") return "profile";
  return parameter.section.empty() ? key : fmt::format("{}.{}", parameter.section, key);
}

json units_list(cases::Dimension dimension) {
  json list = json::array();
  if (dimension == cases::Dimension::none) return list;
  const std::string all = cases::units_of(dimension);
  for (std::size_t from = 0; from < all.size();) {
    const std::size_t to = std::min(all.find(", ", from), all.size());
    list.push_back(all.substr(from, to - from));
    from = to + 2;
  }
  return list;
}

json key_json(const Parameter& parameter, const cases::QuantityText& shown) {
  const bool has_dimension = parameter.dimension != cases::Dimension::none;
  return {
      {"key", parameter.key},
      {"kind", kind_word(parameter.kind)},
      {"dimension", has_dimension ? std::string(cases::dimension_name(parameter.dimension)) : ""},
      {"units", units_list(parameter.dimension)},
      {"required", parameter.presence == cases::Presence::required},
      {"default", cases::default_text(parameter)},
      {"least", parameter.least},
      {"greatest", parameter.greatest},
      {"example", parameter.example},
      {"help", parameter.prose},
      {"allowed", cases::allowed_text(parameter, shown)},
      {"choices",
       parameter.choices.empty() ? std::vector<std::string>() : cases::choices_of(parameter)},
      {"table", table_section(parameter)}};
}

json parameter_table(const json& request) {
  const cases::QuantityText shown(units_at(request));
  json sections = json::array();
  for (const cases::SectionText& section : cases::sections()) {
    json keys = json::array();
    for (const Parameter& parameter : cases::parameters()) {
      if (parameter.section == section.section) keys.push_back(key_json(parameter, shown));
    }
    sections.push_back(
        {{"section", section.section}, {"title", section.prose}, {"keys", std::move(keys)}});
  }
  return {{"sections", std::move(sections)}};
}

json stock_tubes() {
  json tubes = json::array();
  constexpr std::pair<const char*, double> walls[] = {{"16 ga", models::wall_16_gauge},
                                                      {"18 ga", models::wall_18_gauge}};
  for (const models::StockTube& tube : models::tube_stock()) {
    for (const auto& [gauge, wall] : walls) {
      tubes.push_back(
          {{"text", fmt::format("{} OD, {}", tube.outside, gauge)},
           {"outside", tube.outside},
           {"outside_diameter", tube.outside_diameter},
           {"wall", wall},
           {"inside_diameter", tube.bore(wall)},
           {"bend_radii", std::vector<double>(tube.bend_radii.begin(), tube.bend_radii.end())}});
    }
  }
  return {{"tubes", std::move(tubes)}};
}

// ---------------------------------------------------------------- a case that is read

json problem_json(const cases::Problem& problem) {
  return {{"line", problem.line},       {"key", problem.key},         {"value", problem.value},
          {"message", problem.message}, {"allowed", problem.allowed}, {"advice", problem.advice}};
}

json problems_json(const std::vector<cases::Problem>& problems) {
  json list = json::array();
  for (const cases::Problem& problem : problems) list.push_back(problem_json(problem));
  return list;
}

// The file as it is written.
json value_json(const toml::node& node) {
  if (const toml::table* table = node.as_table()) {
    json object = json::object();
    for (const auto& [key, value] : *table) object[std::string(key.str())] = value_json(value);
    return object;
  }
  if (const toml::array* list = node.as_array()) {
    json array = json::array();
    for (const toml::node& value : *list) array.push_back(value_json(value));
    return array;
  }
  if (const auto* text = node.as_string()) return text->get();
  if (const auto* whole = node.as_integer()) return whole->get();
  if (const auto* number = node.as_floating_point()) return number->get();
  if (const auto* flag = node.as_boolean()) return flag->get();
  return nullptr;
}

json written_values(const std::string& text) {
  try {
    return value_json(toml::parse(text));
  } catch (const toml::parse_error&) {
    return nullptr;
  }
}

json tube_json(const cases::Tube& tube) {
  return {{"inside_diameter", tube.inside_diameter}, {"wall", tube.wall}};
}

json header_json(const cases::HeaderDesign& header) {
  json lengths = json::object();
  for (const auto& [cylinder, length] : header.primary_length) {
    lengths[std::to_string(cylinder)] = length;
  }
  json groups = json::array();
  for (const cases::CollectorGroup& group : header.groups) {
    groups.push_back({{"name", group.name},
                      {"cylinders", group.cylinders},
                      {"position", group.collector_position},
                      {"interval_deg", group.interval_deg}});
  }
  return {{"name", header.name},
          {"kind", cases::kind_name(header.kind)},
          {"notes", header.notes},
          {"line", header.line},
          {"lengths", std::move(lengths)},
          {"primary_tube", tube_json(header.primary_tube)},
          {"secondary_tube", tube_json(header.secondary_tube)},
          {"collector_tube", tube_json(header.collector_tube)},
          {"tail_tube", tube_json(header.tail_tube)},
          {"secondary_length", header.secondary_length},
          {"collector_length", header.collector_length},
          {"tail_length", header.tail_length},
          {"divider_length", header.divider_length},
          {"merge_diameter", header.merge_diameter},
          {"groups", std::move(groups)}};
}

json case_json(const cases::CaseFile& case_file) {
  json banks = json::array();
  for (const cases::Bank& bank : case_file.engine.banks) {
    banks.push_back({{"name", bank.name}, {"cylinders", bank.cylinders}});
  }
  json speeds = json::array();
  for (const double speed : case_file.run.speeds) speeds.push_back(std::round(6e4 * speed) / 1e3);
  json headers = json::array();
  for (const cases::HeaderDesign& header : case_file.headers)
    headers.push_back(header_json(header));
  return {{"title", case_file.title},
          {"notes", case_file.notes},
          {"invented", case_file.invented},
          {"engine", case_file.has_engine()},
          {"cylinders", case_file.engine.firing_order},
          {"banks", std::move(banks)},
          {"ambient_pressure", case_file.ambient.pressure},
          {"speeds_rpm", std::move(speeds)},
          {"band_rpm", {60 * case_file.run.band_from, 60 * case_file.run.band_to}},
          {"cell_size", case_file.run.cell_size},
          {"build_tolerance", case_file.build_tolerance},
          {"headers", std::move(headers)}};
}

json assumptions_json(const cases::CaseFile& case_file) {
  json list = json::array();
  for (const cases::Assumption& one : case_file.assumptions) {
    list.push_back({{"key", one.key},
                    {"value", one.value},
                    {"least", one.least},
                    {"greatest", one.greatest},
                    {"reason", one.reason}});
  }
  return list;
}

json read_answer(const json& request) {
  const std::string text = text_at(request, "text");
  json answer{{"problems", json::array()},
              {"remarks", json::array()},
              {"assumptions", json::array()},
              {"case", nullptr}};
  try {
    const cases::CaseFile case_file = cases::read_case_text(text, "case", units_at(request));
    answer["remarks"] = problems_json(case_file.remarks);
    answer["assumptions"] = assumptions_json(case_file);
    answer["case"] = case_json(case_file);
    answer["values"] = written_values(text);
  } catch (const cases::CaseError& error) {
    answer["problems"] = problems_json(error.problems());
    // Beyond what a parser survives the reader has stopped before it parsed.
    const bool parsed = !error.problems().front().key.empty();
    answer["values"] = parsed ? written_values(text) : json(nullptr);
  }
  return answer;
}

// ---------------------------------------------------------------- changes

// A value as a case file has it.
std::string toml_value(const json& value) {
  if (value.is_array()) {
    std::string out;
    for (const json& one : value) out += (out.empty() ? "" : ", ") + toml_value(one);
    return fmt::format("[{}]", out);
  }
  if (value.is_object()) {
    std::string out;
    for (const auto& [key, one] : value.items()) {
      const bool bare = !key.empty() && key.find_first_not_of(
                                            "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                            "0123456789_-") == std::string::npos;
      out += fmt::format("{}{} = {}", out.empty() ? "" : ", ", bare ? key : cases::toml_text(key),
                         toml_value(one));
    }
    return out.empty() ? "{}" : fmt::format("{{ {} }}", out);
  }
  if (value.is_null()) throw std::invalid_argument("null is no value of a case file");
  if (value.is_string()) return cases::toml_text(value.get<std::string>());
  return value.dump();
}

// Whether the tables of an array have headings of their own, as the example of its key has.
bool has_headings(std::string_view key) {
  std::string name;  // without places in arrays
  bool within = false;
  for (const char c : key) {
    within = c == '[' || (within && c != ']');
    if (!within && c != ']') name += c;
  }
  const std::size_t dot = name.rfind('.');
  const std::string section = dot == std::string::npos ? "" : name.substr(0, dot);
  const Parameter* parameter =
      cases::find_parameter(section, dot == std::string::npos ? name : name.substr(dot + 1));
  return parameter != nullptr && parameter->example.starts_with("[[");
}

std::string edited(const std::string& text, const json& edit) {
  if (edit.contains("set")) {
    return cases::with_key(text, text_at(edit, "set"), toml_value(edit.at("value")));
  }
  if (edit.contains("remove")) return cases::without_key(text, text_at(edit, "remove"));
  if (edit.contains("append")) {
    const std::string key = text_at(edit, "append");
    return cases::with_table(text, key, toml_value(edit.at("value")), has_headings(key));
  }
  if (edit.contains("copy_header")) {
    return cases::with_header_copy(text, text_at(edit, "copy_header"), text_at(edit, "as"));
  }
  if (edit.contains("rename_header")) {
    return cases::with_header_renamed(text, text_at(edit, "rename_header"), text_at(edit, "as"));
  }
  if (edit.contains("remove_header")) {
    return cases::without_header(text, text_at(edit, "remove_header"));
  }
  throw std::invalid_argument(fmt::format("no edit of this kind: {}", edit.dump()));
}

json edit_answer(const json& request) {
  std::string text = text_at(request, "text");
  const json& edits = request.at("edits");
  for (std::size_t i = 0; i < edits.size(); ++i) {
    try {
      text = edited(text, edits[i]);
    } catch (const std::exception& error) {
      return {{"error", error.what()}, {"edit", i}};
    }
  }
  return {{"text", text}};
}

cases::CaseFile case_at(const json& request) {
  return cases::read_case_text(text_at(request, "text"), "case", units_at(request));
}

json drawing_answer(const json& request) {
  const cases::CaseFile case_file = case_at(request);
  json drawing = header_drawing(case_file, text_at(request, "header"));
  if (drawing.is_null()) throw std::invalid_argument("the case has no header of that name");
  drawing["valve_events"] = case_file.has_engine() ? valve_events(case_file) : json(nullptr);
  return drawing;
}

json sheet_answer(const json& request) {
  json sheet = bench_sheet(case_at(request), text_at(request, "header"));
  if (sheet.is_null()) throw std::invalid_argument("the case has no header of that name");
  return {{"sheet", std::move(sheet)}};
}

}  // namespace

json case_answer(const std::string& call, const json& request) {
  if (call == "parameters") return parameter_table(request);
  if (call == "stock_tubes") return stock_tubes();
  if (call == "read") return read_answer(request);
  if (call == "edit") return edit_answer(request);
  if (call == "drawing") return drawing_answer(request);
  if (call == "sheet") return sheet_answer(request);
  return nullptr;
}

}  // namespace pulsewright::tools
