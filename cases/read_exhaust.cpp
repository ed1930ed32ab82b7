#include "cases/read_exhaust.hpp"

#include <fmt/format.h>
#include <numbers>
#include <string>
#include <string_view>

namespace pulsewright::cases {
namespace {

models::Wall read_wall(Section& s, const models::Ambient& ambient) {
  const std::string finish = s.choice("finish");
  const bool wrapped = finish == "wrapped";
  const bool coated = finish == "coated";
  models::Wall wall;
  wall.finish = wrapped             ? models::WallFinish::wrapped
                : coated            ? models::WallFinish::coated
                : finish == "fixed" ? models::WallFinish::fixed
                                    : models::WallFinish::bare;
  wall.temperature = s.quantity("wall_temperature");
  wall.thickness = s.quantity("wall_thickness");
  wall.conductivity = s.quantity("wall_conductivity");
  wall.emissivity = s.number("emissivity");
  wall.layer_thickness = s.quantity("layer_thickness");
  wall.layer_conductivity = s.quantity("layer_conductivity");
  // Common practice, no source: one lap of wrap, a sprayed ceramic coat.
  if (!s.has("layer_thickness")) wall.layer_thickness = wrapped ? 3e-3 : coated ? 0.3e-3 : 0;
  if (!s.has("layer_conductivity")) wall.layer_conductivity = coated ? 1.0 : 0.1;
  for (const std::string_view key : {"layer_thickness", "layer_conductivity"}) {
    if (s.has(key) && !wrapped && !coated) {
      s.problem(key, "is given, but the tubes are neither wrapped nor coated",
                "remove it, or write finish = \"wrapped\"");
    }
  }
  wall.outside_coefficient = s.quantity("outside_coefficient");
  wall.outside_temperature = s.quantity("outside_temperature");
  if (!s.has("outside_temperature")) wall.outside_temperature = ambient.temperature;
  return wall;
}

}  // namespace

Exhaust read_exhaust(Section s, const models::Ambient& ambient) {
  Exhaust out;
  out.law = s.enumerator<models::JunctionLaw>("junction");
  out.merge_half_angle_deg = s.quantity("merge_half_angle");
  out.roughness = s.quantity("roughness");
  out.heat = s.enumerator<models::PipeHeatLaw>("heat");
  out.heat_multiplier = s.number("heat_multiplier");
  out.wall = read_wall(s, ambient);
  out.port_length = s.quantity("port_length");
  out.port_diameter = s.quantity("port_diameter");
  if (out.port_length > 0 && !s.has("port_diameter")) {
    s.problem("port_diameter", "is missing; a port has a length and a diameter",
              "for example: port_diameter = \"41 mm\"");
  }
  out.port_valve_diameter = s.quantity("port_valve_diameter");
  if (!s.has("port_valve_diameter")) out.port_valve_diameter = out.port_diameter;
  if (s.has("port_valve_diameter") && !(out.port_length > 0)) {
    s.problem("port_valve_diameter", "is given, but the port has no length",
              "give port_length and port_diameter, or remove it");
  }
  out.port_transition = s.quantity("port_transition");
  out.port_wall_temperature = s.quantity("port_wall_temperature");
  out.outlet_spacing = s.quantity("outlet_spacing");
  out.bends = read_bends(s);
  s.finish();
  return out;
}

std::vector<models::Bend> read_bends(Section& section) {
  std::vector<models::Bend> out;
  for (Section& bend : section.tables("bends", "bend")) {
    const double angle = bend.quantity("angle");
    const double radius = bend.quantity("radius");
    bend.finish();
    out.push_back({radius, angle});
  }
  return out;
}

std::string bends_too_long(const std::vector<models::Bend>& bends, double tube_length,
                           const QuantityText& shown) {
  double arcs = 0;
  for (const models::Bend& bend : bends) {
    arcs += bend.angle_deg * std::numbers::pi / 180 * bend.centreline_radius;
  }
  if (arcs <= tube_length * (1 + 1e-9)) return {};  // all bend and no straight is possible
  return fmt::format("has {} of arc along the centreline in a tube of {}", shown.length(arcs, 5),
                     shown.length(tube_length, 5));
}

}  // namespace pulsewright::cases
