// Specification of the cylinders of an engine: plain data, SI units.
//
// Crank angles are in degrees, 0 = firing top dead centre of the cylinder in question, 0..720.
#pragma once

#include <vector>

#include "models/boundary/specification.hpp"

namespace pulsewright::models {

struct CylinderSpecification {
  int number = 1;               // the number the builder calls it by
  int bank = 0;                 // index of its bank
  double firing_angle_deg = 0;  // crank angle of the engine at its firing top dead centre, 0..720
  PipeEnd exhaust;              // pipe end at the exhaust valve
  PipeEnd intake;               // pipe end at the intake valve
};

// Everything that all cylinders of the engine share.
struct CylinderGeometry {
  double bore = 0;               // m
  double stroke = 0;             // m
  double rod = 0;                // m, between centres
  double pin_offset = 0;         // m, towards the major thrust side
  double compression_ratio = 0;  // clearance volume = swept volume / (ratio - 1)
};

struct CombustionSpecification {
  double air_fuel_ratio = 12.8;           // kg air per kg fuel as supplied
  double stoichiometric_air_fuel = 14.6;  // kg/kg
  double hydrogen_to_carbon = 1.87;       // atoms, of the fuel
  double heating_value = 43.0e6;          // J/kg, lower
  double efficiency = 0.92;               // fraction of the chemical heat that is released
  double burned_50_deg = 8;               // crank angle at which 50 % of the charge has burned
  double duration_deg = 50;               // Wiebe duration at the reference speed
  double reference_speed = 100;           // rev/s at which duration_deg holds
  double duration_exponent = 0.3;         // duration ~ (speed / reference speed) ^ exponent
  double wiebe_a = 5.0;
  double wiebe_m = 2.0;
  double oxygen_to_carbon = 0;  // atoms, of the fuel
  // What takes the place of dry air in the fresh charge, as mole fractions: water in the air
  // outside, fuel in the charge behind the intake valve.
  double water_vapour = 0;
  double fuel_vapour = 0;
  // Shares of the fuel that evaporate before the gas enters the runner, and as it enters the
  // cylinder; together 1 at most. The heat comes from the charge.
  double evaporated_before_runner = 0;
  double evaporated_in_cylinder = 0;
  double latent_heat = 0;  // J/kg of fuel
};

enum class CylinderHeatLaw { woschni, annand };

struct CylinderHeatSpecification {
  CylinderHeatLaw law = CylinderHeatLaw::woschni;
  double multiplier = 1;
  double head_temperature = 480;    // K
  double piston_temperature = 520;  // K
  double liner_temperature = 420;   // K
};

// FMEP = a + b p_max + c S_p + d S_p^2 (Chen and Flynn)
struct FrictionSpecification {
  double a = 0.4e5;     // Pa
  double b = 0.005;     // of peak cylinder pressure
  double c = 0.09e5;    // Pa per m/s
  double d = 0.0009e5;  // Pa per (m/s)^2
};

// All cylinders of an engine, identical but for their place in the firing order.
struct CylindersSpecification {
  CylinderGeometry geometry;
  CombustionSpecification combustion;
  CylinderHeatSpecification cylinder_heat;
  FrictionSpecification friction;
  ValveSpecification exhaust_valve;
  ValveSpecification intake_valve;
  double scavenge_displacement = 0;  // 0 = perfect mixing .. 1 = perfect displacement in overlap
  std::vector<CylinderSpecification> cylinders;
};

}  // namespace pulsewright::models
