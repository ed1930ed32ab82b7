// The cylinders of an engine: each an open system of one zone, perfectly mixed.
//
//   dU/dt = -p dV/dt - h A (T - T_wall) + heat of combustion + sum of enthalpy through the valves
//   dm/dt = sum of mass through the valves + fuel,   d(mY)/dt likewise + burnt mass made
//
// Heywood (1988), section 14.2. Integrated over each time step of the pipes by a fourth-order
// Runge-Kutta step of Boost.Odeint with the valve flows frozen, a pack of cylinders at a time
// (cylinder_kernels.hpp); work and wall heat are integrated beside U, so that their sum is exact to
// round-off. Masses and the heat of combustion change linearly within the step and are exact.
// Fuel that evaporates in the cylinder takes its heat from the fresh charge that enters, once: what
// is pushed back into the runner before the intake closes has evaporated, keeps its temperature and
// is the first to come again. None of it is taken to leave the runner at its entry.
// While the exhaust valve is open in overlap, a part "displacement" of the outflow may be burnt
// gas that has not mixed (1 = as long as there is burnt gas).
#pragma once

#include <vector>

#include "models/boundary/orifice.hpp"
#include "models/cylinder/cylinder_table.hpp"

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
  double heat = 0;        // J released, at the datum of the gas model, less that of evaporation
  double fuel = 0;        // kg
  double made_burnt = 0;  // kg of burnt gas made
};

CylinderModel cylinder_model(const CylindersSpecification& engine, double speed);  // rev/s

class Cylinders {
 public:
  // In the order of the engine; speed in rev/s.
  Cylinders(const CylindersSpecification& engine, double speed);

  std::size_t size() const { return numbers_.size(); }

  // Cylinder i starts with ambient gas at the crank angle (deg) of the engine.
  void fill(std::size_t i, const solver::Gas& gas, double p, double T, double Y,
            double engine_angle);

  // Cylinder i of others.
  struct Source {
    const Cylinders* cylinders;
    std::size_t i;
  };
  // Each takes over the gas of another one, at the same crank angle of its own; what it burns with
  // and when it fires stays its own. Throws std::invalid_argument for another number of them.
  void start_from(const std::vector<Source>& sources);

  // The gas of cylinder i becomes the weighted mean of that of other cylinders at the same crank
  // angle of their own. weights: of the sources, see weighted_mean.hpp.
  void set_mean_gas(std::size_t i, const std::vector<Source>& sources,
                    const std::vector<double>& weights);

  // A step of dt (s) is taken in three parts. predict_midpoint() computes the state at the valves
  // at its midpoint, extrapolated from the step before;
  void predict_midpoint(const solver::Gas& gas, double dt);
  Reservoir<double> reservoir(std::size_t i) const;
  // The same for the outflow in overlap, where burnt gas may leave first.
  Reservoir<double> overlap_reservoir(std::size_t i) const;
  // set_flow() sets the flow through them;
  void set_flow(std::size_t i, const ValveFlow& exhaust, const ValveFlow& intake);
  // and the step is taken, from engine angle to engine angle + d_angle, deg. Throws Fault.
  void step(const solver::Gas& gas, double engine_angle, double d_angle, double dt);

  double pressure(std::size_t i) const { return at(Column::pressure, i); }        // Pa
  double temperature(std::size_t i) const { return at(Column::temperature, i); }  // K
  double mass(std::size_t i) const { return at(Column::mass, i); }                // kg
  double burnt_mass(std::size_t i) const { return at(Column::burnt, i); }         // kg
  double internal_energy(std::size_t i) const { return at(Column::energy, i); }   // J
  CylinderSums sums(std::size_t i) const;
  const CrankSlider& crank() const { return model_.crank; }

 private:
  using Column = CylinderColumn;
  double& at(Column c, std::size_t i) { return table_[static_cast<std::size_t>(c) * stride_ + i]; }
  double at(Column c, std::size_t i) const {
    return table_[static_cast<std::size_t>(c) * stride_ + i];
  }
  void evaporate(double dt);  // s
  // Columns `from` to before `to`.
  void repeat_first(std::size_t from, std::size_t to);
  CylinderTable table() { return {table_.data(), stride_}; }

  CylinderModel model_;
  std::vector<int> numbers_;  // as the engine builder counts them
  std::size_t stride_;
  std::vector<double> table_;       // column by column
  double evaporation_heat_;         // J per kg of fresh charge that enters
  std::vector<double> fresh_flow_;  // kg/s through the intake of each cylinder in this step
};

}  // namespace pulsewright::models
