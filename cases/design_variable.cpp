#include "cases/design_variable.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>

#include "cases/collector_order.hpp"
#include "cases/grouping.hpp"
#include "cases/parameters.hpp"
#include "cases/primary_pieces.hpp"
#include "cases/varied_text.hpp"

namespace pulsewright::cases {

namespace {

constexpr double stock_step = 0.125 * 0.0254;  // m, between outside diameters
constexpr double least_bore = 0.010;           // m, as the ranges of the parameter table

std::vector<int> cylinders_of(const HeaderDesign& header, const DesignVariable& variable) {
  if (!variable.cylinders.empty()) return variable.cylinders;
  std::vector<int> all;
  for (const auto& [cylinder, length] : header.primary_length) all.push_back(cylinder);
  return all;
}

double mean_length(const HeaderDesign& header, const std::vector<int>& cylinders) {
  double sum = 0;
  for (const int cylinder : cylinders) sum += header.primary_length.at(cylinder);
  return sum / static_cast<double>(cylinders.size());
}

// The member of a header that a variable of this part is, null for primaries and orders.
double HeaderDesign::*length_of(VariedPart part) {
  switch (part) {
    case VariedPart::secondary_length:
      return &HeaderDesign::secondary_length;
    case VariedPart::collector_length:
      return &HeaderDesign::collector_length;
    case VariedPart::merge_diameter:
      return &HeaderDesign::merge_diameter;
    case VariedPart::tail_length:
      return &HeaderDesign::tail_length;
    default:
      return nullptr;
  }
}

Tube HeaderDesign::*tube_of(VariedPart part) {
  switch (part) {
    case VariedPart::secondary_tube:
      return &HeaderDesign::secondary_tube;
    case VariedPart::collector_tube:
      return &HeaderDesign::collector_tube;
    case VariedPart::tail_tube:
      return &HeaderDesign::tail_tube;
    default:
      return nullptr;
  }
}

// The size that the header has now, of the first of the cylinders.
const Tube& present_tube(const HeaderDesign& header, const DesignVariable& variable) {
  if (const auto tube = tube_of(variable.part)) return header.*tube;
  return header.primaries.at(cylinders_of(header, variable).front()).tube;
}

bool is_of_primaries(VariedPart part) {
  return part == VariedPart::primary_length || part == VariedPart::primary_tube;
}

void set_span(HeaderDesign& header, double span) {
  for (const CollectorGroup& group : header.groups) {
    const double mean = mean_length(header, group.cylinders);
    const std::vector<double> lengths = stepped_lengths(group, mean - span / 2, mean + span / 2);
    for (std::size_t i = 0; i < lengths.size(); ++i) {
      header.primary_length[group.cylinders[i]] = lengths[i];
    }
  }
}

void set_order(HeaderDesign& header, double value) {
  for (CollectorGroup& group : header.groups) {
    const auto orders = collector_orders(group);
    group.collector_position = orders[place_in_list(value, orders.size())];
  }
}

void set_tube(HeaderDesign& header, const DesignVariable& variable, double value) {
  const Tube& chosen = variable.tubes[place_in_list(value, variable.tubes.size())];
  if (const auto tube = tube_of(variable.part)) {
    header.*tube = chosen;
    return;
  }
  for (const int cylinder : cylinders_of(header, variable)) {
    header.primaries.at(cylinder).tube = chosen;
  }
  if (variable.cylinders.empty()) header.primary_tube = chosen;
}

void move_steps(HeaderDesign& header, double at) {
  for (auto& [cylinder, primary] : header.primaries) {
    if (primary.steps.empty()) continue;
    const double moved = at - primary.steps.front().at;
    for (TubeStep& step : primary.steps) step.at += moved;
  }
}

// Whether the header has the value as it is. Of a tube never: its value is that of the nearest
// size.
bool has_value(const HeaderDesign& header, const DesignVariable& variable, double value) {
  constexpr double rounding = 1e-9;  // m
  return !variable.is_tube() && std::abs(variable_value(header, variable) - value) < rounding;
}

void set_variable(HeaderDesign& header, const DesignVariable& variable, double value) {
  if (const std::string reason = why_not_varied(header, variable); !reason.empty()) {
    throw std::invalid_argument(fmt::format("{} {}", header.name, reason));
  }
  if (has_value(header, variable, value)) return;
  if (const auto length = length_of(variable.part)) {
    header.*length = value;
  } else if (variable.is_tube()) {
    set_tube(header, variable, value);
  } else if (variable.part == VariedPart::collector_order) {
    set_order(header, value);
  } else if (variable.part == VariedPart::primary_span) {
    set_span(header, value);
  } else if (variable.part == VariedPart::step_at) {
    move_steps(header, value);
  } else {
    const std::vector<int> cylinders = cylinders_of(header, variable);
    const double added = value - mean_length(header, cylinders);
    for (const int cylinder : cylinders) header.primary_length[cylinder] += added;
  }
}

double present_span(const HeaderDesign& header) {
  double span = 0;
  for (const CollectorGroup& group : header.groups) {
    const auto [least, most] = std::minmax_element(
        group.cylinders.begin(), group.cylinders.end(), [&](int one, int other) {
          return header.primary_length.at(one) < header.primary_length.at(other);
        });
    span = std::max(span, header.primary_length.at(*most) - header.primary_length.at(*least));
  }
  return span;
}

void require_steps(const HeaderDesign& header) {
  for (const auto& [cylinder, primary] : header.primaries) {
    const double length = header.primary_length.at(cylinder);
    if (!first_step_fault(primary, header.port_transition, length)) continue;
    throw std::invalid_argument(
        fmt::format("{}: a step of primary {} leads to the same bore, or lies too near to the "
                    "step or the end beside it",
                    header.name, cylinder));
  }
}

bool has_step(const HeaderDesign& header) {
  return std::any_of(header.primaries.begin(), header.primaries.end(),
                     [](const auto& one) { return !one.second.steps.empty(); });
}

}  // namespace

std::size_t place_in_list(double value, std::size_t count) {
  const long place = std::lround(value);
  return static_cast<std::size_t>(std::clamp(place, 0L, static_cast<long>(count) - 1));
}

std::string varied_part_name(VariedPart part) {
  return choice_of(*find_parameter("tune.vary", "part"), static_cast<std::size_t>(part));
}

std::string variable_name(const DesignVariable& variable) {
  std::string name = varied_part_name(variable.part);
  std::replace(name.begin(), name.end(), '_', ' ');
  if (variable.cylinders.empty()) return name;
  return fmt::format("{} {}", name, fmt::join(variable.cylinders, "+"));
}

std::string why_not_varied(const HeaderDesign& header, const DesignVariable& variable) {
  if (header.kind == HeaderKind::network) return "is an explicit network, which has no such parts";
  if (!variable.cylinders.empty() && !is_of_primaries(variable.part)) {
    return fmt::format("has one {} for all cylinders", varied_part_name(variable.part));
  }
  for (const int cylinder : variable.cylinders) {
    if (!header.primary_length.contains(cylinder)) {
      return fmt::format("has no cylinder {}", cylinder);
    }
    const auto& named = variable.cylinders;
    if (std::count(named.begin(), named.end(), cylinder) > 1) {
      return fmt::format("has cylinder {} once, and it is named twice", cylinder);
    }
  }
  if (variable.part == VariedPart::primary_span) {
    for (const CollectorGroup& group : header.groups) {
      if (group.cylinders.size() > 1 && leading_of_close_pair(group) >= 0) continue;
      return fmt::format("has no close pair to step for in collector {}", group.name);
    }
  }
  if (variable.part == VariedPart::step_at && !has_step(header)) return "has no steps";
  if (variable.part == VariedPart::merge_diameter && !(header.merge_diameter > 0)) {
    return "has no merge_diameter";
  }
  if (variable.part == VariedPart::collector_order) {
    if (has_secondaries(header.kind)) return "has secondaries, whose tubes have one order";
    const bool choice = std::any_of(header.groups.begin(), header.groups.end(),
                                    [](const auto& g) { return collector_orders(g).size() > 1; });
    if (!choice) return "has one order round its collectors only";
  }
  const auto length = length_of(variable.part);
  const auto tube = tube_of(variable.part);
  const bool missing =
      (length && !(header.*length > 0)) || (tube && !((header.*tube).inside_diameter > 0));
  if (missing) return fmt::format("has no {}", varied_part_name(variable.part));
  return {};
}

double variable_value(const HeaderDesign& header, const DesignVariable& variable) {
  if (const auto length = length_of(variable.part)) return header.*length;
  if (variable.is_tube()) {
    const double bore = present_tube(header, variable).inside_diameter;
    const auto nearest = std::min_element(
        variable.tubes.begin(), variable.tubes.end(), [&](const Tube& one, const Tube& other) {
          return std::abs(one.inside_diameter - bore) < std::abs(other.inside_diameter - bore);
        });
    return static_cast<double>(nearest - variable.tubes.begin());
  }
  if (variable.part == VariedPart::collector_order) {
    const auto& group = header.groups.front();
    const auto orders = collector_orders(group);
    const auto at = std::find(orders.begin(), orders.end(), group.collector_position);
    if (at != orders.end()) return static_cast<double>(at - orders.begin());
    const auto mirrored =
        std::find(orders.begin(), orders.end(), mirrored_order(group.collector_position));
    return mirrored == orders.end() ? 0 : static_cast<double>(mirrored - orders.begin());
  }
  if (variable.part == VariedPart::primary_span) return present_span(header);
  if (variable.part == VariedPart::step_at) {
    for (const auto& [cylinder, primary] : header.primaries) {
      if (!primary.steps.empty()) return primary.steps.front().at;
    }
    return 0;
  }
  return mean_length(header, cylinders_of(header, variable));
}

HeaderDesign varied_header(const HeaderDesign& header, const std::vector<DesignVariable>& variables,
                           const std::vector<double>& values, const std::vector<TubeFit>& fits) {
  HeaderDesign varied = header;
  for (std::size_t i = 0; i < variables.size(); ++i) {
    set_variable(varied, variables[i], values.at(i));
  }
  for (const TubeFit& fit : fits) {
    for (const int cylinder : fit.cylinders) {
      double& length = varied.primary_length.at(cylinder);
      length = std::clamp(length, fit.shortest, fit.longest);
    }
  }
  require_steps(varied);
  return varied;
}

std::vector<Tube> neighbouring_tubes(const Tube& tube) {
  std::vector<Tube> tubes;
  for (int step = -2; step <= 2; ++step) {
    const double bore = tube.inside_diameter + step * stock_step;
    // Through its text, so that it is read back from a case file to the last bit.
    if (bore >= least_bore) tubes.push_back(parse_tube(tube_value({bore, tube.wall})));
  }
  return tubes;
}

std::optional<Tube> size_left_out(const HeaderDesign& header, const DesignVariable& variable) {
  if (!variable.is_tube() || variable.tubes.empty()) return std::nullopt;
  const Tube& present = present_tube(header, variable);
  const bool listed =
      std::any_of(variable.tubes.begin(), variable.tubes.end(), [&](const Tube& tube) {
        constexpr double rounding = 1e-5;  // m, of sizes in millimetres and inches
        return std::abs(tube.inside_diameter - present.inside_diameter) < rounding;
      });
  return listed ? std::nullopt : std::optional(present);
}

DesignVariable with_choices(DesignVariable variable, const HeaderDesign& header) {
  if (variable.is_tube() && variable.tubes.empty()) {
    variable.tubes = neighbouring_tubes(present_tube(header, variable));
  } else if (variable.part == VariedPart::collector_order) {
    for (const CollectorGroup& group : header.groups) {
      variable.orders = std::max(variable.orders, static_cast<int>(collector_orders(group).size()));
    }
  }
  return variable;
}

std::vector<DesignVariable> all_variables(const HeaderDesign& header) {
  std::vector<DesignVariable> variables;
  const auto add = [&](DesignVariable variable) {
    if (!why_not_varied(header, variable).empty()) return;
    if (variable.is_length()) {
      const double length = variable_value(header, variable);
      variable.from = 0.9 * length;
      variable.to = 1.1 * length;
    } else {
      variable = with_choices(std::move(variable), header);
    }
    variables.push_back(std::move(variable));
  };
  using enum VariedPart;
  for (const auto& [cylinder, length] : header.primary_length) {
    add({.part = primary_length, .cylinders = {cylinder}});
  }
  for (const VariedPart part : {secondary_length, collector_length, tail_length}) {
    add({.part = part});
  }
  std::vector<Tube> seen;
  for (const auto& [cylinder, primary] : header.primaries) {
    if (std::find(seen.begin(), seen.end(), primary.tube) != seen.end()) continue;
    seen.push_back(primary.tube);
    DesignVariable variable{.part = primary_tube};
    for (const auto& [other, same] : header.primaries) {
      if (same.tube == primary.tube) variable.cylinders.push_back(other);
    }
    if (variable.cylinders.size() == header.primaries.size()) variable.cylinders.clear();
    add(std::move(variable));
  }
  for (const VariedPart part : {secondary_tube, collector_tube, tail_tube}) add({.part = part});
  return variables;
}

}  // namespace pulsewright::cases
