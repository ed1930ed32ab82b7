#include "cases/varied_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>
#include <sstream>
#include <stdexcept>
#include <toml++/toml.h>

#include "cases/collector_order.hpp"
#include "cases/design_variable.hpp"
#include "cases/table_blocks.hpp"

namespace pulsewright::cases {
namespace {

std::string length_value(double metres) { return fmt::format("{:.2f} mm", 1e3 * metres); }

// Every cylinder's length, whatever gave it before.
void write_lengths(toml::table& table, const HeaderDesign& design) {
  toml::table lengths;
  for (const auto& [cylinder, length] : design.primary_length) {
    lengths.insert_or_assign(std::to_string(cylinder), length_value(length));
  }
  lengths.is_inline(true);
  table.insert_or_assign("lengths", std::move(lengths));
  if (toml::array* primaries = table["primary"].as_array()) {
    for (toml::node& node : *primaries) {
      if (toml::table* primary = node.as_table()) primary->erase("length");
    }
  }
}

std::vector<int> cylinders_of(const toml::table& primary) {
  std::vector<int> cylinders;
  if (const toml::array* list = primary["cylinders"].as_array()) {
    for (const toml::node& node : *list) cylinders.push_back(node.value_or(0));
  }
  return cylinders;
}

// One table for each cylinder whose primary has one, and for each of those named.
void split_primaries(toml::table& table, const std::vector<int>& named) {
  toml::array split;
  std::set<int> seen;
  const auto add = [&](toml::table primary, int cylinder) {
    seen.insert(cylinder);
    primary.insert_or_assign("cylinders", toml::array{cylinder});
    const bool gets_tube = std::find(named.begin(), named.end(), cylinder) != named.end();
    const toml::node* const steps = table.get("primary_steps");
    if (gets_tube && steps && !primary.contains("tube") && !primary.contains("steps")) {
      primary.insert("steps", *steps);  // a tube of its own would have none without them
    }
    primary.is_inline(false);
    split.push_back(std::move(primary));
  };
  if (const toml::array* primaries = table["primary"].as_array()) {
    for (const toml::node& node : *primaries) {
      for (const int cylinder : cylinders_of(*node.as_table())) add(*node.as_table(), cylinder);
    }
  }
  for (const int cylinder : named) {
    if (!seen.contains(cylinder)) add(toml::table(), cylinder);
  }
  table.insert_or_assign("primary", std::move(split));
}

void write_primary_tubes(toml::table& table, const HeaderDesign& design,
                         const DesignVariable& variable) {
  if (variable.cylinders.empty()) {
    table.insert_or_assign("primary_tube", tube_value(design.primary_tube));
  } else {
    split_primaries(table, variable.cylinders);
  }
  toml::array* primaries = table["primary"].as_array();
  if (!primaries) return;
  for (toml::node& node : *primaries) {
    toml::table& primary = *node.as_table();
    const std::vector<int> cylinders = cylinders_of(primary);
    const bool named = !variable.cylinders.empty() &&
                       std::find(variable.cylinders.begin(), variable.cylinders.end(),
                                 cylinders.front()) != variable.cylinders.end();
    if (named || (variable.cylinders.empty() && primary.contains("tube"))) {
      primary.insert_or_assign("tube", tube_value(design.primaries.at(cylinders.front()).tube));
    }
  }
}

// Puts the places of the steps into a list of them.
void write_steps(toml::node* list, const Primary& primary) {
  toml::array* steps = list ? list->as_array() : nullptr;
  if (!steps) return;
  for (std::size_t i = 0; i < steps->size() && i < primary.steps.size(); ++i) {
    if (toml::table* step = steps->get(i)->as_table()) {
      step->insert_or_assign("at", length_value(primary.steps[i].at));
    }
  }
}

void write_all_steps(toml::table& table, const HeaderDesign& design) {
  // Those that all share are those of a cylinder without a table of its own.
  std::set<int> own;
  if (toml::array* primaries = table["primary"].as_array()) {
    for (toml::node& node : *primaries) {
      const std::vector<int> cylinders = cylinders_of(*node.as_table());
      own.insert(cylinders.begin(), cylinders.end());
      write_steps(node.as_table()->get("steps"), design.primaries.at(cylinders.front()));
    }
  }
  for (const auto& [cylinder, primary] : design.primaries) {
    if (own.contains(cylinder)) continue;
    write_steps(table.get("primary_steps"), primary);
    return;
  }
}

void write_order(toml::table& table, const HeaderDesign& design) {
  toml::array lists;
  for (const CollectorGroup& group : design.groups) {
    toml::array list;
    for (const int cylinder : order_round(group)) list.push_back(cylinder);
    lists.push_back(std::move(list));
  }
  table.insert_or_assign("collector_order", std::move(lists));
}

void write_variable(toml::table& table, const HeaderDesign& design,
                    const DesignVariable& variable) {
  const std::string key = varied_part_name(variable.part);
  switch (variable.part) {
    case VariedPart::primary_length:
    case VariedPart::primary_span:
      break;  // all lengths are written anyway
    case VariedPart::primary_tube:
      write_primary_tubes(table, design, variable);
      break;
    case VariedPart::step_at:
      write_all_steps(table, design);
      break;
    case VariedPart::collector_order:
      write_order(table, design);
      break;
    case VariedPart::secondary_length:
    case VariedPart::collector_length:
    case VariedPart::merge_diameter:
    case VariedPart::tail_length:
      table.insert_or_assign(key, length_value(variable_value(design, variable)));
      break;
    case VariedPart::secondary_tube:
      table.insert_or_assign(key, tube_value(design.secondary_tube));
      break;
    case VariedPart::collector_tube:
      table.insert_or_assign(key, tube_value(design.collector_tube));
      break;
    case VariedPart::tail_tube:
      table.insert_or_assign(key, tube_value(design.tail_tube));
      break;
  }
}

}  // namespace

std::string tube_value(const Tube& tube) {
  if (!(tube.wall > 0)) return fmt::format("{:.3f} mm ID", 1e3 * tube.inside_diameter);
  const double outside = tube.inside_diameter + 2 * tube.wall;
  const double sixteenths = outside / 0.0254 * 16;
  std::string text = std::abs(sixteenths - std::round(sixteenths)) < 1e-4
                         ? fmt::format("{} in OD, ", std::round(sixteenths) / 16)
                         : fmt::format("{:.3f} mm OD, ", 1e3 * outside);
  for (int gauge = 10; gauge <= 22; ++gauge) {
    if (std::abs(gauge_wall(gauge) - tube.wall) < 1e-7) return text + fmt::format("{} ga", gauge);
  }
  return text + fmt::format("{:.3f} mm wall", 1e3 * tube.wall);
}

std::string varied_case_text(std::string_view case_text, const VariedHeader& header,
                             const std::vector<DesignVariable>& variables) {
  const toml::table root = parsed_case(case_text);
  if (header_place(root, header.name)) {
    throw std::invalid_argument(fmt::format("the case has a header '{}' already", header.name));
  }
  const auto base = header_place(root, header.base);
  if (!base) throw std::invalid_argument(fmt::format("the case has no header '{}'", header.base));
  toml::table table = *root["header"][*base].as_table();
  table.insert_or_assign("name", header.name);
  table.erase("notes");
  if (!header.notes.empty()) table.insert_or_assign("notes", header.notes);
  for (const DesignVariable& variable : variables) write_variable(table, header.design, variable);
  write_lengths(table, header.design);
  toml::array headers;
  table.is_inline(false);
  headers.push_back(std::move(table));
  toml::table whole;
  whole.insert("header", std::move(headers));
  std::ostringstream text;
  text << case_text;
  if (!case_text.empty() && case_text.back() != '\n') text << '\n';
  text << '\n' << whole << '\n';
  return text.str();
}

}  // namespace pulsewright::cases
