// Gathers the figures of one cylinder over one engine cycle (720 deg), step by step.
#pragma once

#include "models/boundary/poppet_valve.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/figures/point_result.hpp"
#include "models/network/specification.hpp"
#include "solver/gas/gas.hpp"

namespace pulsewright::models {

// What one cylinder and its ports did in one step.
struct CylinderStep {
  double angle = 0;              // deg of the cylinder at the start of the step, 0..720
  double d_angle = 0;            // deg
  double dt = 0;                 // s
  double exhaust_pressure = 0;   // Pa at the exhaust valve
  double intake_pressure = 0;    // Pa at the intake valve
  double exhaust_mass = 0;       // kg/s out of the cylinder
  double exhaust_burnt = 0;      // kg/s
  double exhaust_enthalpy = 0;   // W, static enthalpy that flows with exhaust_mass
  double intake_mass = 0;        // kg/s into the cylinder
  double intake_burnt = 0;       // kg/s
  double cylinder_pressure = 0;  // Pa after the step
  double cylinder_mass = 0;      // kg after the step
  double cylinder_burnt = 0;     // kg after the step
};

class CycleFigures {
 public:
  // reference_mass: kg of air at ambient state in the swept volume.
  CycleFigures(const EngineSpecification& engine, double swept_volume, double reference_mass);

  void start();
  void add(const CylinderStep& step);
  // Figures of the cycle; work and work_gross: J over the cycle.
  CylinderFigures finish(const solver::Gas& gas, int number, double work, double work_gross) const;

  // When the pulse of blowdown leaves the valve: greatest outflow of the cycle, deg of the
  // cylinder. The pressure at the port is no measure of it, since returning waves lie over it.
  double pulse_angle() const { return pulse_angle_; }

 private:
  double ambient_, swept_, reference_;
  double exhaust_opens_, exhaust_closes_, intake_opens_, intake_closes_;
  PoppetValve exhaust_valve_, intake_valve_;
  CylinderFigures f_;
  double overlap_ = 0, overlap_pressure_ = 0, overlap_difference_ = 0;  // deg, Pa deg
  double overlap_lift_ = 0, overlap_lift_pressure_ = 0;                 // m deg, m Pa deg
  double stroke_ = 0, stroke_pressure_ = 0;
  double fresh_in_ = 0, fresh_lost_ = 0;                    // kg
  double out_mass_ = 0, out_burnt_ = 0, out_enthalpy_ = 0;  // kg, kg, J of outflow only
  double greatest_outflow_ = 0, pulse_angle_ = 0;           // kg/s, deg
};

}  // namespace pulsewright::models
