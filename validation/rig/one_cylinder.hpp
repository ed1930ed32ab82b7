// A single cylinder, stepped by its caller.
#pragma once

#include "models/cylinder/cylinders.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::validation {

inline constexpr double cylinder_speed = 100;  // rev/s

// An engine of 86 x 86 mm, rod 143 mm, without wall heat transfer; heat_per_kg J released per kg of
// charge, with negligible fuel mass.
inline models::EngineSpecification adiabatic_engine(double compression_ratio, double heat_per_kg) {
  models::EngineSpecification e;
  e.geometry = {0.086, 0.086, 0.143, 0.0, compression_ratio};
  e.cylinder_heat.multiplier = 0;
  e.combustion.air_fuel_ratio = 1e9;
  e.combustion.heating_value = 1e9 * heat_per_kg;
  e.combustion.efficiency = 1;
  e.combustion.reference_speed = cylinder_speed;
  e.exhaust_valve.opens_deg = 180;
  e.exhaust_valve.closes_deg = 360;
  e.intake_valve.opens_deg = 360;
  e.intake_valve.closes_deg = 540;
  e.cylinders.resize(1);
  return e;
}

class OneCylinder {
 public:
  // The first cylinder of the engine is the only one; speed in rev/s. Angles are the engine's.
  OneCylinder(const models::EngineSpecification& engine, double speed) : all_(engine, speed) {}

  void fill(const solver::Gas& gas, double p, double T, double Y, double angle) {
    all_.fill(0, gas, p, T, Y, angle);
  }
  models::Reservoir<double> reservoir(const solver::Gas& gas, double dt) {
    all_.predict_midpoint(gas, dt);
    return all_.reservoir(0);
  }
  void step(const solver::Gas& gas, double angle, double d_angle, double dt,
            const models::ValveFlow& exhaust, const models::ValveFlow& intake) {
    all_.predict_midpoint(gas, dt);
    all_.set_flow(0, exhaust, intake);
    all_.step(gas, angle, d_angle, dt);
  }

  double pressure() const { return all_.pressure(0); }
  double temperature() const { return all_.temperature(0); }
  double mass() const { return all_.mass(0); }
  double burnt_mass() const { return all_.burnt_mass(0); }
  double burnt_fraction() const { return burnt_mass() / mass(); }
  double internal_energy() const { return all_.internal_energy(0); }
  models::CylinderSums sums() const { return all_.sums(0); }
  const models::CrankSlider& crank() const { return all_.crank(); }

 private:
  models::Cylinders all_;
};

}  // namespace pulsewright::validation
