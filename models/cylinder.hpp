// One cylinder: an open system of one zone, perfectly mixed.
//
//   dU/dt = -p dV/dt - h A (T - T_wall) + heat of combustion + sum of enthalpy through the valves
//   dm/dt = sum of mass through the valves + fuel,   d(mY)/dt likewise + burnt mass made
//
// Heywood (1988), section 14.2. Integrated over each time step of the pipes by a fourth-order
// Runge-Kutta step of Boost.Odeint with the valve flows frozen; work and wall heat are integrated
// beside U, so that their sum is exact to round-off. Masses and the heat of combustion change
// linearly within the step and are exact.
// While the exhaust valve is open in overlap, a share "displacement" of the outflow may be burnt
// gas that has not mixed (1 = as long as there is any).
#pragma once

#include <array>

#include "models/combustion.hpp"
#include "models/crank.hpp"
#include "models/cylinder_heat.hpp"
#include "models/opening.hpp"
#include "models/poppet_valve.hpp"

namespace pulsewright::models {

// What passes a valve, counted into the cylinder.
struct ValveFlow {
  double mass = 0;      // kg/s
  double enthalpy = 0;  // W, total
  double burnt = 0;     // kg/s
};

// Sums since the start, for ledger and figures.
struct CylinderSums {
  double work = 0;        // J done on the piston
  double work_gross = 0;  // J, of it during compression and expansion (180 deg before to after TDC)
  double wall_heat = 0;   // J lost to the walls
  double heat = 0;        // J released, at the datum of the gas model
  double fuel = 0;        // kg
  double made_burnt = 0;  // kg of burnt gas made
};

class Cylinder {
 public:
  Cylinder(const EngineSpecification& engine, std::size_t index, double speed);

  // Starts with ambient gas at the crank angle (deg) of the cylinder.
  void fill(const solver::Gas& gas, double p, double T, double Y, double angle);

  // Boundary seen by the valves in the middle of the step of dt (s) that follows, continued from
  // the step before.
  Reservoir<double> reservoir(const solver::Gas& gas, double dt) const;
  // The same for the outflow in overlap, where burnt gas may leave first.
  Reservoir<double> exhaust_reservoir(const solver::Gas& gas, double dt, bool overlap) const;

  // Takes the step from angle to angle + d_angle (deg) within dt (s). Throws Fault.
  void step(const solver::Gas& gas, double angle, double d_angle, double dt,
            const ValveFlow& exhaust, const ValveFlow& intake);

  double pressure() const { return p_; }        // Pa
  double temperature() const { return T_; }     // K
  double mass() const { return mass_; }         // kg
  double burnt_mass() const { return burnt_; }  // kg
  double burnt_fraction() const { return burnt_ / mass_; }
  double internal_energy() const { return U_; }  // J
  const CylinderSums& sums() const { return sums_; }
  const CrankSlider& crank() const { return crank_; }
  const WiebeBurn& burn() const { return burn_; }

 private:
  struct Middle {
    double p, T, Y;
  };
  Middle middle(double dt) const;
  void refresh(const solver::Gas& gas, double volume);
  double heat_coefficient(const solver::Gas& gas, const Middle& now, double angle,
                          double volume) const;

  std::string name_;
  CylinderGeometry geometry_;
  CylinderHeatSpecification heat_;
  CombustionSpecification combustion_;
  CrankSlider crank_;
  WiebeBurn burn_;
  double speed_;         // rev/s
  double piston_speed_;  // m/s, mean
  double displacement_;
  double exhaust_opens_, intake_closes_;  // deg
  double mass_ = 0, burnt_ = 0, U_ = 0;
  double p_ = 0, T_ = 0;
  struct Rate {
    double p = 0, T = 0, Y = 0;  // Pa/s, K/s, 1/s
  };
  Rate rate_;                                 // of the last step
  CrankSlider::Place place_{};                // at the end of the last step
  double place_angle_ = -1;                   // deg, of that end
  bool lit_ = true, closed_ = true;           // spark and intake closing of this cycle have passed
  double to_burn_ = 0;                        // kg of air that burns in this cycle
  double p_ref_ = 0, T_ref_ = 0, V_ref_ = 1;  // at intake valve closing, for Woschni
  CylinderSums sums_;
};

}  // namespace pulsewright::models
