// The arithmetic of Cylinders, on plain pointers, in packs: one cylinder per lane. Compiled once
// per instruction set (models/kernels_avx2.cpp, models/kernels_avx512.cpp); what must hold for that
// stands in solver/pipe/pipe_kernels.hpp.
#pragma once

// Boost.Odeint includes uBLAS, which would include <iostream> and with it code that runs at program
// start, of whatever instruction set this file is compiled for.
#ifndef BOOST_UBLAS_NO_STD_CERR
#define BOOST_UBLAS_NO_STD_CERR
#endif

#include <array>
#include <boost/numeric/odeint/algebra/array_algebra.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <cassert>
#include <cstddef>
#include <functional>
#include <numbers>

#include "models/boundary/crank_angle.hpp"
#include "models/cylinder/combustion.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/cylinder/cylinder_table.hpp"
#include "models/cylinder/heat_transfer.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/dispatch.hpp"
#include "solver/simd/math.hpp"

namespace pulsewright::models {

template <class Real>
class CylinderKernels {
 public:
  static constexpr CylinderKernelTable table() { return {&predict_midpoint, &step}; }

  static void predict_midpoint(const CylinderModel& model, const CylinderTable& table,
                               std::size_t n, const solver::Gas& gas, double dt) {
    for (std::size_t i = 0; i < n; i += width) {
      const CylinderView at{table, i};
      const MidpointState now = midpoint(at, dt);
      at.set(Column::midpoint_pressure, now.p);
      at.set(Column::midpoint_fraction, now.Y);
      at.set(Column::midpoint_enthalpy, gas.enthalpy(now.T, now.Y));
      const Real displaced =
          now.Y + model.displacement * (1.0 - now.Y) * solver::min(Real(1.0), Real(20.0 * now.Y));
      at.set(Column::overlap_fraction, displaced);
      at.set(Column::overlap_enthalpy, gas.enthalpy(now.T, displaced));
    }
  }

  static void step(const CylinderModel& model, const CylinderTable& table, std::size_t n,
                   const solver::Gas& gas, double engine_angle, double d_angle, double dt) {
    for (std::size_t i = 0; i < n; i += width) {
      step_pack(model, {table, i}, gas, engine_angle, d_angle, dt);
    }
  }

 private:
  using Column = CylinderColumn;
  using Piston = CrankSlider::Kinematics<Real>;
  static constexpr std::size_t width = solver::lanes<Real>;

  // The cylinders of one pack.
  struct CylinderView {
    const CylinderTable& table;
    std::size_t first;
    Real operator()(Column c) const { return solver::load<Real>(table.of(c) + first); }
    void set(Column c, const Real& value) const { solver::store(table.of(c) + first, value); }
    void add(Column c, const Real& value) const { set(c, (*this)(c) + value); }
  };

  struct MidpointState {
    Real p, T, Y;  // Pa, K, 1
  };
  // Extrapolated from the step before.
  static MidpointState midpoint(const CylinderView& at, double dt) {
    const Real Y = at(Column::burnt) / at(Column::mass) + 0.5 * dt * at(Column::fraction_rate);
    return {at(Column::pressure) + 0.5 * dt * at(Column::pressure_rate),
            at(Column::temperature) + 0.5 * dt * at(Column::temperature_rate),
            solver::max(Real(0.0), solver::min(Real(1.0), Y))};
  }

  // Crank, piston and burn at an angle: stored at the end of a step for the next one.
  struct CrankKinematics {
    Real sine, cosine;
    Piston piston;
    Real mass_fraction_burned;
  };
  // angle: deg around firing; rad: the same in rad.
  static CrankKinematics kinematics(const CylinderModel& model, const Real& angle,
                                    const Real& rad) {
    const Real sine = solver::sin(rad);
    const Real cosine = solver::cos(rad);
    return {sine, cosine, model.crank.at(sine, cosine), model.burn.mass_fraction_burned(angle)};
  }
  // The stored ones where they belong to that angle, else computed anew.
  static CrankKinematics kinematics_at_begin(const CylinderModel& model, const CylinderView& at,
                                             const Real& angle) {
    CrankKinematics kept{at(Column::sine),
                         at(Column::cosine),
                         {at(Column::position), at(Column::volume), at(Column::volume_slope)},
                         at(Column::mass_fraction_burned)};
    const auto elsewhere = solver::abs(Real(angle - at(Column::angle))) > 1e-9;
    if (!solver::any(elsewhere)) return kept;
    const CrankKinematics now = kinematics(model, angle, Real(angle * degree));
    const auto recompute = [&](Real& a, const Real& b) { a = solver::select(elsewhere, b, a); };
    recompute(kept.sine, now.sine);
    recompute(kept.cosine, now.cosine);
    recompute(kept.piston.position, now.piston.position);
    recompute(kept.piston.volume, now.piston.volume);
    recompute(kept.piston.volume_slope, now.piston.volume_slope);
    recompute(kept.mass_fraction_burned, now.mass_fraction_burned);
    return kept;
  }

  // W/(m2 K)
  static Real heat_coefficient(const CylinderModel& model, const CylinderView& at,
                               const solver::Gas& gas, const MidpointState& now, const Real& angle,
                               const Real& volume) {
    if (model.heat.law == CylinderHeatLaw::annand) {
      const Real rho = now.p / (gas.gas_constant(now.Y) * now.T);
      return model.heat.multiplier * heat_coefficient_annand(model.geometry.bore, rho,
                                                             model.piston_speed, now.T,
                                                             gas.cp(now.T, now.Y));
    }
    const auto closed = angle >= model.intake_closes_around_firing() && angle < model.exhaust_opens;
    const auto burning = closed && angle >= model.burn.start();
    const Real w =
        gas_velocity_woschni(closed, burning, model.piston_speed, model.crank.swept_volume(),
                             at(Column::pressure_closed), at(Column::temperature_closed),
                             at(Column::volume_closed), now.p, volume);
    return model.heat.multiplier * heat_coefficient_woschni(model.geometry.bore, now.p, now.T, w);
  }

  // What is added to the gas in a step at rates that are taken as constant over it.
  struct Gains {
    Real mass, burnt, energy;    // kg, kg, J: in all
    Real burnt_air, fuel, heat;  // kg, kg, J: of combustion
  };
  static Gains gains(const CylinderModel& model, const CylinderView& at, const solver::Gas& gas,
                     const Real& unburned_air, const Real& mass_fraction_burned, double dt) {
    const Real burnt_air = unburned_air * mass_fraction_burned;
    const Real fuel = burnt_air * fuel_joining(model.combustion);
    const Real heat = burnt_air * heat_at_datum(model.combustion, gas);
    return {dt * at(Column::mass_flow) + fuel,
            dt * at(Column::burnt_flow) + (burnt_air + fuel),
            dt * at(Column::enthalpy_flow) + heat,
            burnt_air,
            fuel,
            heat};
  }

  using Integrals = std::array<Real, 3>;  // energy, work, wall heat, all in J

  // The terms of the rates at one time of the step that do not depend on the energy there.
  struct Stage {
    Real by_mass;      // 1/kg
    Real Y, R;         // 1, J/(kg K)
    Real density;      // kg/m3
    Real volume_gain;  // m3, of the whole step at this rate
    Real area;         // m2 of wall
    Real area_by_T;    // m2 K, wall times its temperature
  };

  // The right-hand side of the energy equation, by the time in steps. The classical Runge-Kutta
  // method evaluates it four times: at the begin of the step, twice at its middle and at its end;
  // evaluations are counted, so that each finds the stage that was prepared for it.
  struct EnergyEquation {
    static constexpr std::array<std::size_t, 4> stage_of_evaluation{0, 1, 1, 2};
    const solver::Gas& gas;
    std::array<Stage, 3> stages;  // at the begin, the middle and the end
    Real energy_gain;             // J, over the step
    Real h;                       // J/(m2 K), heat-transfer coefficient times dt
    std::size_t evaluations = 0;

    void operator()(const Integrals& y, Integrals& rate, double /*time*/) {
      const Stage& s = stages[stage_of_evaluation[evaluations++]];
      const Real T = gas.temperature(Real(y[0] * s.by_mass), s.Y);
      const Real power = s.density * s.R * T * s.volume_gain;
      const Real loss = h * (s.area * T - s.area_by_T);
      rate = {energy_gain - power - loss, power, loss};
    }
  };

  static void step_pack(const CylinderModel& model, const CylinderView& at, const solver::Gas& gas,
                        double engine_angle, double d_angle, double dt) {
    namespace odeint = boost::numeric::odeint;

    const Real angle = fold_around_firing(Real(engine_angle - at(Column::firing)));
    const Real after = angle + d_angle;
    const Real mass = at(Column::mass);
    const Real burnt = at(Column::burnt);
    // Events are flags rather than searches between two angles: the end of one step and the start
    // of the next differ by rounding, and an event may lie between them.
    const auto before_spark = after < model.burn.start();
    const auto ignites = !before_spark && at(Column::ignited) == 0.0;
    const Real unburned_air_at_ignition =
        solver::select(ignites, Real(mass - burnt), at(Column::unburned_air_at_ignition));
    const CrankKinematics begin = kinematics_at_begin(model, at, angle);
    const CrankKinematics end = kinematics(model, after, Real(after * degree));
    const Real burned_before =
        solver::select(angle <= model.burn.start(), Real(0.0), begin.mass_fraction_burned);
    const Gains gain = gains(model, at, gas, unburned_air_at_ignition,
                             Real(end.mass_fraction_burned - burned_before), dt);

    // The middle of the step by the theorems of addition.
    const double half_sine = solver::sin(0.5 * d_angle * degree);
    const double half_cosine = solver::cos(0.5 * d_angle * degree);
    const Piston middle = model.crank.at(Real(begin.sine * half_cosine + begin.cosine * half_sine),
                                         Real(begin.cosine * half_cosine - begin.sine * half_sine));
    // Walls: head and piston crown of flat area, and the uncovered liner.
    const Real h = dt * heat_coefficient(model, at, gas, midpoint(at, dt),
                                         Real(angle + 0.5 * d_angle), middle.volume);
    const double flat = model.crank.piston_area();
    const double turned = 2.0 * std::numbers::pi * model.speed * dt;  // rad
    // time: in steps
    const auto stage_at = [&](const Piston& piston, double time) {
      const Real m = mass + time * gain.mass;
      const Real by_mass = 1.0 / m;
      const Real Y = (burnt + time * gain.burnt) * by_mass;
      const Real liner = std::numbers::pi * model.geometry.bore * piston.position;
      return Stage{by_mass,
                   Y,
                   gas.gas_constant(Y),
                   m / piston.volume,
                   piston.volume_slope * turned,
                   2.0 * flat + liner,
                   flat * (model.heat.head_temperature + model.heat.piston_temperature) +
                       liner * model.heat.liner_temperature};
    };
    EnergyEquation equation{
        gas,
        {stage_at(begin.piston, 0.0), stage_at(middle, 0.5), stage_at(end.piston, 1.0)},
        gain.energy,
        h};
    Integrals y{at(Column::energy), Real(0.0), Real(0.0)};
    odeint::runge_kutta4<Integrals, double, Integrals, double, odeint::array_algebra> stepper;
    static_assert(decltype(stepper)::stage_count == EnergyEquation::stage_of_evaluation.size());
    stepper.do_step(std::ref(equation), y, 0.0, 1.0);
    assert(equation.evaluations == EnergyEquation::stage_of_evaluation.size());

    const Real mass_after = mass + gain.mass;
    const Real burnt_after = burnt + gain.burnt;
    const Real Y = burnt_after / mass_after;
    const Real T = gas.temperature(Real(y[0] / mass_after), Y);
    const Real p = mass_after * gas.gas_constant(Y) * T / end.piston.volume;
    at.set(Column::pressure_rate, (p - at(Column::pressure)) / dt);
    at.set(Column::temperature_rate, (T - at(Column::temperature)) / dt);
    at.set(Column::fraction_rate, (Y - burnt / mass) / dt);
    at.set(Column::mass, mass_after);
    at.set(Column::burnt, burnt_after);
    at.set(Column::energy, y[0]);
    at.set(Column::pressure, p);
    at.set(Column::temperature, T);

    at.add(Column::work, y[1]);
    const auto around_top = solver::abs(Real(angle + 0.5 * d_angle)) < 180.0;
    at.add(Column::work_gross, solver::select(around_top, y[1], Real(0.0)));
    at.add(Column::wall_heat, y[2]);
    at.add(Column::heat, gain.heat);
    at.add(Column::fuel, gain.fuel);
    at.add(Column::made_burnt, gain.burnt_air + gain.fuel);
    keep(at, fold_around_firing(after), end);

    at.set(Column::ignited, solver::select(before_spark, Real(0.0), Real(1.0)));
    at.set(Column::unburned_air_at_ignition, unburned_air_at_ignition);
    const auto before_closing = after < model.intake_closes_around_firing();
    const auto closes = !before_closing && at(Column::closed) == 0.0;
    at.set(Column::closed, solver::select(before_closing, Real(0.0), Real(1.0)));
    at.set(Column::pressure_closed, solver::select(closes, p, at(Column::pressure_closed)));
    at.set(Column::temperature_closed, solver::select(closes, T, at(Column::temperature_closed)));
    at.set(Column::volume_closed,
           solver::select(closes, end.piston.volume, at(Column::volume_closed)));
  }

  // For kinematics_at_begin() of the next step.
  static void keep(const CylinderView& at, const Real& angle, const CrankKinematics& end) {
    at.set(Column::angle, angle);
    at.set(Column::sine, end.sine);
    at.set(Column::cosine, end.cosine);
    at.set(Column::position, end.piston.position);
    at.set(Column::volume, end.piston.volume);
    at.set(Column::volume_slope, end.piston.volume_slope);
    at.set(Column::mass_fraction_burned, end.mass_fraction_burned);
  }
};

}  // namespace pulsewright::models
