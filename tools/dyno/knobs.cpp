#include "tools/dyno/knobs.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>

#include "cases/case_edit.hpp"
#include "cases/nearest_key.hpp"
#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::tools {

namespace {

constexpr Knob all[] = {
    {"intake-flow", "intake_valve.flow.multiplier", "valve.flow", "", 0.85, 1.15,
     "flow of the intake valves, of that in the case"},
    {"exhaust-flow", "exhaust_valve.flow.multiplier", "valve.flow", "", 0.85, 1.15,
     "flow of the exhaust valves, of that in the case"},
    {"burn-duration", "combustion.duration", "combustion", "deg", 30, 90,
     "burning duration at the reference speed"},
    {"efficiency", "combustion.efficiency", "combustion", "", 0.8, 0.99,
     "heat that the fuel releases, with it the temperature of the gas"},
    {"wall-heat", "cylinder_heat.multiplier", "cylinder_heat", "", 0.5, 2,
     "heat from the gas to the cylinder walls"},
    {"friction", "friction.constant", "friction", "bar", 0.1, 1.2,
     "friction, the part that is the same at all speeds"},
    {"friction-by-speed", "friction.per_speed", "friction", "bar s/m", 0.03, 0.2,
     "friction, the part that rises with piston speed"},
};
// Without friction-by-speed: knobs.hpp.
constexpr std::size_t usual = std::size(all) - 1;

}  // namespace

std::span<const Knob> knobs() { return all; }

std::vector<Knob> chosen_knobs(const std::vector<std::string>& names) {
  if (names.empty()) return {std::begin(all), std::begin(all) + usual};
  std::vector<Knob> out;
  std::vector<std::string> known;
  for (const Knob& knob : all) known.emplace_back(knob.name);
  for (const std::string& name : names) {
    const auto at = std::find(known.begin(), known.end(), name);
    if (at == known.end()) {
      const std::string near = cases::nearest_key(name, known);
      throw std::invalid_argument(fmt::format(
          "'{}' is no knob of a calibration; there are {}{}", cases::shortened(name),
          fmt::join(known, ", "), near.empty() ? "" : fmt::format("; did you mean {}?", near)));
    }
    const Knob& knob = all[static_cast<std::size_t>(at - known.begin())];
    if (std::any_of(out.begin(), out.end(), [&](const Knob& k) { return k.name == knob.name; })) {
      throw std::invalid_argument(fmt::format("the knob '{}' is named twice", name));
    }
    out.push_back(knob);
  }
  return out;
}

double knob_value(const cases::CaseFile& case_file, const Knob& knob) {
  const std::string key(knob.key.substr(knob.key.rfind('.') + 1));
  const cases::Parameter& parameter = *cases::find_parameter(knob.section, key);
  const std::string written = cases::written_value(case_file.text, std::string(knob.key));
  const double value =
      cases::value_of(written.empty() ? cases::default_text(parameter) : written, parameter);
  return knob.unit.empty() ? value : cases::in_unit(value, knob.unit);
}

cases::Override with_knob(const Knob& knob, double value) {
  const std::string number = fmt::format("{:.5g}", value);
  return {std::string(knob.key),
          knob.unit.empty() ? number : fmt::format("{} {}", number, knob.unit)};
}

}  // namespace pulsewright::tools
