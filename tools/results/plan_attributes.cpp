#include "tools/results/plan_attributes.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace pulsewright::tools {

namespace {

using nlohmann::json;

constexpr std::string_view variants_folder = "/variants/";
constexpr std::string_view absorbed_prefix = "absorbed-";
constexpr std::string_view source_mark = "-of-";

// "length-tube".
std::string parts_name(cases::HeaderParts parts) {
  std::string name;
  for (const cases::HeaderPart part : cases::header_parts) {
    if (!cases::has_part(parts, part)) continue;
    if (!name.empty()) name += '-';
    name += cases::part_name(part);
  }
  return name;
}

// Of a variant that is not the production grid.
std::string variant_name(const RunVariant& variant) {
  switch (variant.kind) {
    case VariantKind::production_grid:
      break;
    case VariantKind::coarse_grid:
      return "coarse";
    case VariantKind::longer_primaries:
      return "longer";
    case VariantKind::absorbed_pulse:
      return fmt::format("{}{}", absorbed_prefix, variant.cylinder);
    case VariantKind::cooler_gas:
      return "cooler-gas";
    case VariantKind::merge_coupling:
      return variant.coupling == models::MergeCoupling::weak ? "merge-weak" : "merge-strong";
    case VariantKind::mixed_header:
      return fmt::format("{}{}{}", parts_name(variant.parts), source_mark, variant.source);
  }
  throw std::logic_error("a run on the production grid is no variant");
}

// A number spelled without sign and leading zero, from 1; 0 for any other text.
int parse_number(std::string_view text) {
  int number = 0;
  std::from_chars(text.data(), text.data() + text.size(), number);
  return number > 0 && text == std::to_string(number) ? number : 0;
}

std::optional<RunVariant> parse_mixed_header(std::string_view name) {
  const auto mark = name.find(source_mark);
  if (mark == std::string_view::npos) return std::nullopt;
  const int source = parse_number(name.substr(mark + source_mark.size()));
  constexpr auto kind = static_cast<cases::HeaderParts>(cases::HeaderPart::kind);
  for (cases::HeaderParts parts = 1; source > 0 && parts < kind; ++parts) {
    if (name.substr(0, mark) == parts_name(parts)) return with_parts(parts, source);
  }
  return std::nullopt;
}

std::optional<RunVariant> parse_variant(std::string_view name) {
  if (name == variant_name(coarse_grid)) return coarse_grid;
  if (name == variant_name(longer_primaries)) return longer_primaries;
  if (name == variant_name(cooler_gas)) return cooler_gas;
  for (const auto coupling : {models::MergeCoupling::weak, models::MergeCoupling::strong}) {
    if (name == variant_name(with_coupling(coupling))) return with_coupling(coupling);
  }
  if (name.starts_with(absorbed_prefix)) {
    const int cylinder = parse_number(name.substr(absorbed_prefix.size()));
    if (cylinder > 0) return without_pulse_of(cylinder);
    return std::nullopt;
  }
  return parse_mixed_header(name);
}

// What is in no text of this program makes no plan.
template <class Action>
void reading(const char* what, Action action) {
  try {
    action();
  } catch (const json::exception& error) {
    throw std::runtime_error(fmt::format("{} cannot be read: {}", what, error.what()));
  } catch (const std::logic_error& error) {  // of std::stoi
    throw std::runtime_error(fmt::format("{} cannot be read: {}", what, error.what()));
  }
}

}  // namespace

std::string run_group_name(std::string_view header_group, const RunVariant& variant) {
  std::string name(header_group);
  if (variant != production_grid) name.append(variants_folder).append(variant_name(variant));
  return name;
}

std::string run_group_name(const HeaderPlan& plan) {
  return run_group_name(plan.group, plan.variant);
}

std::optional<RunGroup> parse_run_group(std::string_view name) {
  const auto at = name.find(variants_folder);
  if (at == std::string_view::npos) return RunGroup{std::string(name), production_grid};
  const auto variant = parse_variant(name.substr(at + variants_folder.size()));
  if (!variant) return std::nullopt;
  return RunGroup{std::string(name.substr(0, at)), *variant};
}

std::string damage_text(const StudyPlan& plan, std::size_t header_index, std::size_t speed_index,
                        const std::vector<std::string>& variables) {
  constexpr std::size_t most = 3;
  const std::size_t shown = std::min(most, variables.size());
  std::string names = fmt::format(
      "{}",
      fmt::join(variables.begin(), variables.begin() + static_cast<std::ptrdiff_t>(shown), ", "));
  if (variables.size() > shown) names += fmt::format(" and {} more", variables.size() - shown);
  return fmt::format("header '{}' at {:.0f} rpm: {} {} damaged",
                     run_group_name(plan.headers.at(header_index)),
                     60 * plan.speeds.at(speed_index), names, variables.size() > 1 ? "are" : "is");
}

std::string settings_text(const StudySettings& settings) {
  json j = json::object();
  for_each_setting(settings, [&](const char* key, const auto& value) { j[key] = value; });
  return j.dump();
}

StudySettings parse_settings(const std::string& text) {
  StudySettings settings;
  reading("the settings", [&] {
    const json j = json::parse(text);
    for_each_setting(settings, [&](const char* key, auto& value) { j.at(key).get_to(value); });
  });
  return settings;
}

std::string grouping_text(const HeaderPlan& plan) {
  json groups = json::array();
  for (const auto& group : plan.groups) {
    groups.push_back({{"name", group.name},
                      {"cylinders", group.cylinders},
                      {"interval_deg", group.interval_deg},
                      {"position", group.collector_position},
                      {"subgroups", group.subgroups}});
  }
  json lengths = json::object();
  for (const auto& [number, length] : plan.primary_length) {
    lengths[std::to_string(number)] = length;
  }
  return json{{"groups", groups}, {"primary_length_m", lengths}}.dump();
}

void parse_grouping(const std::string& text, HeaderPlan& plan) {
  reading("the grouping", [&] {
    const json j = json::parse(text);
    for (const auto& stored : j.at("groups")) {
      cases::CollectorGroup group;
      stored.at("name").get_to(group.name);
      stored.at("cylinders").get_to(group.cylinders);
      stored.at("interval_deg").get_to(group.interval_deg);
      stored.at("position").get_to(group.collector_position);
      stored.at("subgroups").get_to(group.subgroups);
      plan.groups.push_back(std::move(group));
    }
    for (const auto& [number, length] : j.at("primary_length_m").items()) {
      plan.primary_length[std::stoi(number)] = length.get<double>();
    }
  });
}

cases::HeaderKind parse_kind(const std::string& name) {
  const auto kind = cases::kind_of_name(name);
  if (!kind) throw std::runtime_error(fmt::format("holds a header of the unknown kind '{}'", name));
  return *kind;
}

models::JunctionLaw parse_law(const std::string& name) {
  const auto law = cases::law_of_name(name);
  if (!law) throw std::runtime_error(fmt::format("holds the unknown junction law '{}'", name));
  return *law;
}

}  // namespace pulsewright::tools
