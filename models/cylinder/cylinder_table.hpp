// The state of the cylinders, a table with a column per quantity, and the functions that compute on
// it (cylinder_kernels.hpp), one set per instruction set.
#pragma once

#include <cstddef>

#include "models/boundary/crank_angle.hpp"
#include "models/cylinder/combustion.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/cylinder/heat_transfer.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/dispatch.hpp"

namespace pulsewright::models {

// What all cylinders of an engine share.
struct CylinderModel {
  CylinderGeometry geometry;
  CylinderHeatSpecification heat;
  CombustionSpecification combustion;
  CrankSlider crank;
  WiebeBurn burn;
  double speed;                         // rev/s
  double piston_speed;                  // m/s, mean
  double displacement;                  // part of the outflow in overlap that has not mixed
  double exhaust_opens, intake_closes;  // deg
  // Before the firing top dead centre, as angles around firing count it: negative.
  double intake_closes_around_firing() const { return intake_closes - cycle_angle; }
};

// The stored quantities of a cylinder, a column of the table each.
enum class CylinderColumn : std::size_t {
  firing,  // deg of the engine's crank at its firing top dead centre
  // the gas: kg, kg, J; Pa, K
  mass,
  burnt,
  energy,
  pressure,
  temperature,
  // their change in the last step: Pa/s, K/s, 1/s
  pressure_rate,
  temperature_rate,
  fraction_rate,
  // at the end of the last step: deg around firing; sine and cosine of it; m, m3, m3/rad
  angle,
  sine,
  cosine,
  position,
  volume,
  volume_slope,
  mass_fraction_burned,
  // of this cycle: whether spark and intake closing have passed, 0 or 1; kg of unburned air at
  // ignition; the state at intake valve closing, for Woschni: Pa, K, m3
  ignited,
  closed,
  unburned_air_at_ignition,
  pressure_closed,
  temperature_closed,
  volume_closed,
  // sums since the start, see CylinderSums
  work,
  work_gross,
  wall_heat,
  heat,
  fuel,
  made_burnt,
  returned,  // kg of fresh charge that was in the cylinder and lies in its runner
  // what the valves see at the midpoint of the step: Pa; J/kg and 1 of the mixture and of what
  // leaves in overlap
  midpoint_pressure,
  midpoint_enthalpy,
  midpoint_fraction,
  overlap_enthalpy,
  overlap_fraction,
  // last: through the valves in this step, kg/s, W, kg/s
  mass_flow,
  enthalpy_flow,
  burnt_flow,
  count
};
inline constexpr std::size_t cylinder_columns = static_cast<std::size_t>(CylinderColumn::count);

struct CylinderTable {
  double* data;
  std::size_t stride;  // from one column to the next, a multiple of solver::widest_lanes
  double* of(CylinderColumn c) const { return data + static_cast<std::size_t>(c) * stride; }
};

struct CylinderKernelTable {
  // Computes the state at the valves at the midpoint of a step of dt (s).
  void (*predict_midpoint)(const CylinderModel& model, const CylinderTable& table, std::size_t n,
                           const solver::Gas& gas, double dt);
  // Takes the step from engine angle to engine angle + d_angle, deg.
  void (*step)(const CylinderModel& model, const CylinderTable& table, std::size_t n,
               const solver::Gas& gas, double engine_angle, double d_angle, double dt);
};

// Null pointers where the program was built without the instruction set.
extern const CylinderKernelTable cylinder_kernels_portable, cylinder_kernels_avx2,
    cylinder_kernels_avx512;
inline constexpr solver::KernelSets<CylinderKernelTable> cylinder_kernels{
    cylinder_kernels_portable, cylinder_kernels_avx2, cylinder_kernels_avx512};

}  // namespace pulsewright::models
