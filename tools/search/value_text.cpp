#include "tools/search/value_text.hpp"

#include <fmt/format.h>

#include "cases/collector_order.hpp"
#include "cases/design_variable.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

namespace {

std::string size_text(const cases::Tube& tube, UnitSystem units) {
  std::string text = tube_text(tube);
  return text.empty() ? length_text(tube.inside_diameter, units) + " ID" : text;
}

// Cylinders as they stand round each collector.
std::string order_text(const cases::HeaderDesign& header, double value) {
  std::string text;
  for (const auto& group : header.groups) {
    const auto orders = cases::collector_orders(group);
    const auto& positions = orders[cases::place_in_list(value, orders.size())];
    std::vector<int> round(positions.size());
    for (std::size_t i = 0; i < positions.size(); ++i) {
      round[static_cast<std::size_t>(positions[i]) - 1] = group.cylinders[i];
    }
    text += fmt::format("{}{}", text.empty() ? "" : ", ", fmt::join(round, "-"));
  }
  return text;
}

}  // namespace

std::string length_text(double length, UnitSystem units) {
  const DisplayUnit unit = DisplayUnits(units).length;
  std::string number =
      fmt::format("{:.{}f}", length * unit.factor, units == UnitSystem::inch ? 2 : 1);
  while (number.back() == '0') number.pop_back();
  if (number.back() == '.') number.pop_back();
  return fmt::format("{} {}", number, unit.name);
}

std::string torque_text(double torque, UnitSystem units, int digits) {
  const DisplayUnit unit = DisplayUnits(units).torque;
  return fmt::format("{:.{}f} {}", torque * unit.factor, digits, unit.name);
}

std::string value_text(const cases::HeaderDesign& header, const cases::DesignVariable& variable,
                       double value, UnitSystem units) {
  if (variable.is_length()) return length_text(value, units);
  if (!variable.is_tube()) return order_text(header, value);
  return size_text(variable.tubes[cases::place_in_list(value, variable.tubes.size())], units);
}

}  // namespace pulsewright::tools
