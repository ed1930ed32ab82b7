#include "models/engine/run_fault.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>
#include <string_view>

namespace pulsewright::models {

namespace {

// The quantity that a part reports (solver/gas/fault.hpp), and how it is said: of a value, where
// the value is no number, and always where there are no words for a value.
struct Words {
  std::string_view quantity;
  std::string_view before, after;
  std::string_view no_number;
};
constexpr std::array words{
    Words{"temperature in K", "the temperature falls to ", " K", "the temperature is lost"},
    Words{"wall temperature in K", "the temperature of the wall comes to ", " K",
          "the temperature of the wall finds no balance"},
    Words{"density in kg/m3", "the density falls to ", " kg/m3", "the density is lost"},
    Words{"pressure in Pa", "the pressure falls to ", " Pa", "the pressure is lost"},
    Words{"mass in kg", "the mass of gas falls to ", " kg", "the mass of gas is lost"},
    Words{"velocity in m/s", "the gas reaches ", " m/s", "the velocity is lost"},
    Words{"wave speed in m/s", "pressure waves reach ", " m/s",
          "the speed of pressure waves is lost"},
    Words{"time step in s", "the time step falls to ", " s", "the time step is lost"},
    // How many would be needed tells nobody anything.
    Words{"substeps of the volume", "", "",
          "its volume is too small for the flow through it; enlarge it"},
};

template <class Part>
bool is_named(const std::vector<Part>& parts, const std::string& name) {
  return std::any_of(parts.begin(), parts.end(),
                     [&](const Part& part) { return part.name == name; });
}

std::string place_of(const solver::Fault& fault, const NetworkSpecification& network) {
  const std::string& part = fault.part();
  if (is_named(network.junctions, part)) return "at junction '" + part + "'";
  if (is_named(network.pipes, part)) {
    std::string pipe = "in pipe '" + part + "'";
    if (!(fault.place() >= 0)) return pipe;
    return pipe + ", " + short_number(fault.place()) + " m from its left end";
  }
  if (part == "network") return "in the network";
  // "cylinder 1" has gas in it; valves and ends of pipes are places.
  const bool is_cylinder =
      part.starts_with("cylinder ") &&
      std::all_of(part.begin() + 9, part.end(), [](char c) { return c >= '0' && c <= '9'; });
  return (is_cylinder ? "in " : "at ") + part;
}

std::string event_of(const solver::Fault& fault) {
  const std::string& quantity = fault.quantity();
  if (quantity.starts_with("no solution of the boundary condition")) {
    return "the flow through the boundary has no solution";
  }
  const auto at = std::find_if(words.begin(), words.end(),
                               [&](const Words& w) { return w.quantity == quantity; });
  if (at == words.end()) return quantity + " = " + short_number(fault.value());
  if (at->before.empty()) return std::string(at->no_number);
  if (!std::isfinite(fault.value())) return std::string(at->no_number) + " (no number any more)";
  return std::string(at->before) + short_number(fault.value()) + std::string(at->after);
}

}  // namespace

std::string short_number(double value) {
  std::ostringstream text;
  text.precision(4);
  text << value;
  return text.str();
}

RunFault run_fault(const solver::Fault& fault, const NetworkSpecification& network,
                   const std::string& when) {
  return RunFault("the gas can no longer be computed " + place_of(fault, network) + ": " +
                  event_of(fault) + ", at " + when);
}

}  // namespace pulsewright::models
