// Invented engines, built by hand so that the models are tested without the case reader.
#pragma once

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "models/engine/point_simulation.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::validation {

// sin^2 lobe between two crank angles (deg), lift in m.
inline models::LiftCurve sine_lobe(double opens, double closes, double lift) {
  models::LiftCurve curve;
  constexpr int points = 90;
  for (int i = 0; i <= points; ++i) {
    const double s = std::sin(std::numbers::pi * i / points);
    curve.angle_deg.push_back(opens + (closes - opens) * i / points);
    curve.lift.push_back(lift * s * s);
  }
  return curve;
}

// Effective area that rises with lift and saturates at the given value (m2).
inline models::FlowCurve flow_curve(double seat_diameter, double saturated) {
  models::FlowCurve curve;
  for (int i = 0; i <= 20; ++i) {
    const double lift = 0.02 * seat_diameter * i;
    const double curtain = 0.66 * std::numbers::pi * seat_diameter * lift;
    curve.lift.push_back(lift);
    curve.area.push_back(curtain / std::sqrt(1.0 + std::pow(curtain / saturated, 2)));
  }
  return curve;
}

inline models::PipeSpecification straight_pipe(std::string name, double length, double diameter,
                                               double cell_size) {
  models::PipeSpecification pipe;
  pipe.name = std::move(name);
  pipe.length = length;
  pipe.profile = {{0.0, diameter}};
  pipe.roughness = 30e-6;
  pipe.cell_size = cell_size;
  pipe.wall.temperature = 330;
  return pipe;
}

inline models::PipeSpecification hot_pipe(std::string name, double length, double diameter,
                                          double cell_size) {
  models::PipeSpecification pipe = straight_pipe(std::move(name), length, diameter, cell_size);
  pipe.wall.finish = models::WallFinish::bare;
  pipe.wall.temperature = 700;
  pipe.initial_temperature = 900;
  pipe.initial_burnt = 1;
  return pipe;
}

// An invented five-litre V8's cylinder: bore 102 mm, stroke 76.5 mm, two valves.
inline models::EngineSpecification engine_without_pipes() {
  models::EngineSpecification e;
  e.geometry = {0.102, 0.0765, 0.150, 0.0, 12.0};
  e.combustion.burned_50_deg = 8;
  e.exhaust_valve.opens_deg = 102;
  e.exhaust_valve.closes_deg = 394;
  e.exhaust_valve.lift = sine_lobe(102, 394, 0.0135);
  e.exhaust_valve.forward = e.exhaust_valve.reverse = flow_curve(0.040, 0.00090);
  e.intake_valve.opens_deg = 324;
  e.intake_valve.closes_deg = 610;
  e.intake_valve.lift = sine_lobe(324, 610, 0.0140);
  e.intake_valve.forward = e.intake_valve.reverse = flow_curve(0.052, 0.00125);
  return e;
}

// Adds a cylinder with an intake runner from the atmosphere and an exhaust primary; returns the
// index of the primary, whose right end is left for the caller.
inline int add_cylinder(models::EngineSpecification& e, int number, int bank, double firing_angle,
                        double primary_length, double primary_diameter, double cell_size) {
  const int runner = static_cast<int>(e.pipes.size());
  e.pipes.push_back(straight_pipe("runner " + std::to_string(number), 0.29, 0.050, cell_size));
  e.open_ends.push_back({{runner, models::Side::left}, 1.0, 0.05, true});
  const int primary = static_cast<int>(e.pipes.size());
  e.pipes.push_back(
      hot_pipe("primary " + std::to_string(number), primary_length, primary_diameter, cell_size));
  models::CylinderSpecification c;
  c.number = number;
  c.bank = bank;
  c.firing_angle_deg = firing_angle;
  c.exhaust = {primary, models::Side::left};
  c.intake = {runner, models::Side::right};
  e.exhaust_paths.push_back({static_cast<int>(e.cylinders.size()), {primary}});
  e.cylinders.push_back(c);
  return primary;
}

inline models::EngineSpecification single_cylinder(double primary_length, double cell_size) {
  models::EngineSpecification e = engine_without_pipes();
  e.name = "single";
  const int primary = add_cylinder(e, 1, 0, 0.0, primary_length, 0.0443, cell_size);
  e.open_ends.push_back({{primary, models::Side::right}, 1.0, 0.5, true});
  return e;
}

// Collectors of that V8 by bank, and crossed so that each takes every second firing.
inline const std::vector<std::vector<int>> banks{{1, 3, 5, 7}, {8, 4, 6, 2}};
inline const std::vector<std::vector<int>> crossed{{1, 4, 6, 7}, {8, 3, 5, 2}};

// Firing order 1-8-4-3-6-5-7-2, banks odd and even. groups: cylinders by collector.
inline models::EngineSpecification cross_plane_v8(
    const std::vector<std::vector<int>>& groups, double primary_length, double cell_size,
    models::JunctionLaw law = models::JunctionLaw::momentum) {
  models::EngineSpecification e = engine_without_pipes();
  e.name = "V8";
  const int order[] = {1, 8, 4, 3, 6, 5, 7, 2};
  for (std::size_t g = 0; g < groups.size(); ++g) {
    models::JunctionSpecification merge;
    merge.name = "merge " + std::to_string(g + 1);
    merge.law = law;
    std::vector<std::size_t> members;
    for (std::size_t k = 0; k < groups[g].size(); ++k) {
      const int number = groups[g][k];
      double firing = 0;
      for (int i = 0; i < 8; ++i) {
        if (order[i] == number) firing = 90.0 * i;
      }
      members.push_back(e.cylinders.size());
      const int primary =
          add_cylinder(e, number, number % 2, firing, primary_length, 0.0443, cell_size);
      const double around =
          2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(groups[g].size());
      const double tilt = 12.0 * std::numbers::pi / 180.0;
      merge.branches.push_back({{primary, models::Side::right},
                                {-std::cos(tilt), std::sin(tilt) * std::cos(around),
                                 std::sin(tilt) * std::sin(around)}});
    }
    const int collector = static_cast<int>(e.pipes.size());
    e.pipes.push_back(hot_pipe("collector " + std::to_string(g + 1), 0.40, 0.0762, cell_size));
    e.pipes.push_back(hot_pipe("tail " + std::to_string(g + 1), 0.60, 0.0762, cell_size));
    merge.branches.push_back({{collector, models::Side::left}, {1, 0, 0}});
    e.junctions.push_back(merge);
    models::JunctionSpecification joint;
    joint.name = "joint " + std::to_string(g + 1);
    joint.law = law;
    joint.branches = {{{collector, models::Side::right}, {-1, 0, 0}},
                      {{collector + 1, models::Side::left}, {1, 0, 0}}};
    e.junctions.push_back(joint);
    e.open_ends.push_back({{collector + 1, models::Side::right}, 1.0, 0.5, true});
    for (const std::size_t m : members) {
      e.exhaust_paths[m].pipes.push_back(collector);
      e.exhaust_paths[m].pipes.push_back(collector + 1);
    }
  }
  return e;
}

inline models::PointResult run_engine(const models::EngineSpecification& e, double rpm,
                                      const models::RunSettings& settings = {}) {
  models::PointSimulation simulation(e, rpm / 60, settings);
  return simulation.run();
}

}  // namespace pulsewright::validation
