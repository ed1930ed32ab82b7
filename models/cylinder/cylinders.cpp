#include "models/cylinder/cylinders.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>

#include "models/boundary/weighted_mean.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

CylinderModel cylinder_model(const CylindersSpecification& engine, double speed) {
  return {engine.geometry,
          engine.cylinder_heat,
          engine.combustion,
          CrankSlider(engine.geometry),
          WiebeBurn(engine.combustion, speed),
          speed,
          2.0 * engine.geometry.stroke * speed,
          engine.scavenge_displacement,
          engine.exhaust_valve.opens_deg,
          engine.intake_valve.closes_deg};
}

Cylinders::Cylinders(const CylindersSpecification& engine, double speed)
    : model_(cylinder_model(engine, speed)),
      stride_((engine.cylinders.size() + solver::widest_lanes - 1) / solver::widest_lanes *
              solver::widest_lanes),
      table_(cylinder_columns * stride_),
      evaporation_heat_(
          evaporation_heat(engine.combustion, engine.combustion.evaporated_in_cylinder)),
      fresh_flow_(engine.cylinders.size()) {
  for (const auto& cylinder : engine.cylinders) {
    at(Column::firing, numbers_.size()) = cylinder.firing_angle_deg;
    numbers_.push_back(cylinder.number);
  }
}

void Cylinders::fill(std::size_t i, const solver::Gas& gas, double p, double T, double Y,
                     double engine_angle) {
  const double V = model_.crank.volume(engine_angle - at(Column::firing, i));
  const double mass = p * V / (gas.gas_constant(Y) * T);
  at(Column::mass, i) = mass;
  at(Column::burnt, i) = mass * Y;
  at(Column::energy, i) = mass * gas.internal(T, Y);
  at(Column::pressure, i) = p;
  at(Column::temperature, i) = T;
  for (const auto c : {Column::pressure_rate, Column::temperature_rate, Column::fraction_rate,
                       Column::unburned_air_at_ignition, Column::returned}) {
    at(c, i) = 0;
  }
  at(Column::angle, i) = 1e9;  // no crank angle: computed anew in the first step
  at(Column::ignited, i) = at(Column::closed, i) = 1;
  at(Column::pressure_closed, i) = p;
  at(Column::temperature_closed, i) = T;
  at(Column::volume_closed, i) = model_.crank.volume(model_.intake_closes);
  if (i == 0) repeat_first(0, cylinder_columns);
}

void Cylinders::start_from(const std::vector<Source>& sources) {
  if (sources.size() != size()) throw std::invalid_argument("start_from: not the same cylinders");
  for (std::size_t c = 0; c < cylinder_columns; ++c) {
    if (static_cast<Column>(c) == Column::firing) continue;
    for (std::size_t i = 0; i < size(); ++i) {
      table_[c * stride_ + i] = sources[i].cylinders->at(static_cast<Column>(c), sources[i].i);
    }
  }
  if (size() > 0) repeat_first(0, cylinder_columns);
}

void Cylinders::set_mean_gas(std::size_t i, const std::vector<Source>& sources,
                             const std::vector<double>& weights) {
  // What follows from the crank angle stays, and the sums, which are no state.
  for (const auto c : {Column::mass, Column::energy, Column::pressure, Column::temperature,
                       Column::pressure_closed, Column::temperature_closed}) {
    at(c, i) = weighted_geometric_mean(
        weights, [&](std::size_t k) { return sources[k].cylinders->at(c, sources[k].i); });
  }
  for (const auto c : {Column::burnt, Column::pressure_rate, Column::temperature_rate,
                       Column::fraction_rate, Column::unburned_air_at_ignition, Column::returned}) {
    at(c, i) = weighted_mean(
        weights, [&](std::size_t k) { return sources[k].cylinders->at(c, sources[k].i); });
  }
  for (const auto c : {Column::burnt, Column::unburned_air_at_ignition, Column::returned}) {
    at(c, i) = std::clamp(at(c, i), 0.0, mass(i));
  }
  if (i == 0) repeat_first(0, cylinder_columns);
}

void Cylinders::predict_midpoint(const solver::Gas& gas, double dt) {
  cylinder_kernels.in_use().predict_midpoint(model_, table(), size(), gas, dt);
}

// The padding beyond the last cylinder is computed too and must hold a valid state: that of the
// first one.
void Cylinders::repeat_first(std::size_t from, std::size_t to) {
  for (std::size_t c = from; c < to; ++c) {
    double* const column = &table_[c * stride_];
    std::fill(column + size(), column + stride_, column[0]);
  }
}

Reservoir<double> Cylinders::reservoir(std::size_t i) const {
  return {at(Column::midpoint_pressure, i), at(Column::midpoint_enthalpy, i),
          at(Column::midpoint_fraction, i)};
}

Reservoir<double> Cylinders::overlap_reservoir(std::size_t i) const {
  return {at(Column::midpoint_pressure, i), at(Column::overlap_enthalpy, i),
          at(Column::overlap_fraction, i)};
}

void Cylinders::set_flow(std::size_t i, const ValveFlow& exhaust, const ValveFlow& intake) {
  at(Column::mass_flow, i) = exhaust.mass + intake.mass;
  fresh_flow_[i] = intake.mass - intake.burnt;
  at(Column::enthalpy_flow, i) = exhaust.enthalpy + intake.enthalpy;
  at(Column::burnt_flow, i) = exhaust.burnt + intake.burnt;
  if (i == 0) repeat_first(static_cast<std::size_t>(Column::mass_flow), cylinder_columns);
}

// Charge that was pushed back into the runner is the first to return, and has given its heat
// before.
void Cylinders::evaporate(double dt) {
  if (evaporation_heat_ == 0) return;
  for (std::size_t i = 0; i < size(); ++i) {
    double& returned = at(Column::returned, i);
    const double fresh = dt * fresh_flow_[i] - returned;
    returned = std::max(0.0, -fresh);
    const double heat = evaporation_heat_ * std::max(0.0, fresh);
    at(Column::enthalpy_flow, i) -= heat / dt;
    at(Column::heat, i) -= heat;
  }
  repeat_first(static_cast<std::size_t>(Column::enthalpy_flow),
               static_cast<std::size_t>(Column::enthalpy_flow) + 1);
}

void Cylinders::step(const solver::Gas& gas, double engine_angle, double d_angle, double dt) {
  evaporate(dt);
  cylinder_kernels.in_use().step(model_, table(), size(), gas, engine_angle, d_angle, dt);
  for (std::size_t i = 0; i < size(); ++i) {
    if (mass(i) > 0 && temperature(i) > 0) continue;
    const std::string name = "cylinder " + std::to_string(numbers_[i]);
    if (!(mass(i) > 0)) throw solver::Fault(name, "mass in kg", mass(i), -1);
    throw solver::Fault(name, "temperature in K", temperature(i), -1);
  }
}

CylinderSums Cylinders::sums(std::size_t i) const {
  return {at(Column::work, i), at(Column::work_gross, i), at(Column::wall_heat, i),
          at(Column::heat, i), at(Column::fuel, i),       at(Column::made_burnt, i)};
}

}  // namespace pulsewright::models
