// The arithmetic of Cylinders, on plain pointers, in packs of a given width: one cylinder per lane.
//
// Apart from the rest so that it can be compiled once more for processors with wider vectors
// (cylinder_kernels_wide.cpp), see solver/pipe/pipe_kernels.hpp.
#pragma once

#include <array>
#include <boost/numeric/odeint/algebra/array_algebra.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <cstddef>
#include <numbers>

#include "models/boundary/crank_angle.hpp"
#include "models/cylinder/combustion.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/cylinder/heat_transfer.hpp"
#include "solver/gas/gas.hpp"
#include "solver/simd/number.hpp"

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
  double displacement;                  // share of the outflow in overlap that has not mixed
  double exhaust_opens, intake_closes;  // deg
};

// What is known of a cylinder, a column each.
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
  // where the last step ended: deg around firing; sine and cosine of it; m, m3, m3/rad; share burnt
  angle,
  sine,
  cosine,
  position,
  volume,
  volume_slope,
  share,
  // of this cycle: whether spark and intake closing have passed, 0 or 1; kg of air that burns; the
  // state at intake valve closing, for Woschni: Pa, K, m3
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
  // what the valves see in the middle of the step: Pa; J/kg and 1 of the mixture and of what
  // leaves in overlap
  middle_pressure,
  middle_enthalpy,
  middle_fraction,
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
  std::size_t stride;  // from one column to the next, whole packs of the widest kind
  double* of(CylinderColumn c) const { return data + static_cast<std::size_t>(c) * stride; }
};

struct CylinderKernelTable {
  // Finds what the valves see in the middle of a step of dt (s).
  void (*look_ahead)(const CylinderModel& model, const CylinderTable& table, std::size_t n,
                     const solver::Gas& gas, double dt);
  // Takes the step from engine angle to engine angle + d_angle, deg.
  void (*step)(const CylinderModel& model, const CylinderTable& table, std::size_t n,
               const solver::Gas& gas, double engine_angle, double d_angle, double dt);
};

template <class Width>
class CylinderKernels {
 public:
  static constexpr CylinderKernelTable table() { return {&look_ahead, &step}; }

  static void look_ahead(const CylinderModel& model, const CylinderTable& table, std::size_t n,
                         const solver::Gas& gas, double dt) {
    for (std::size_t i = 0; i < n; i += width) {
      const Place at{table, i};
      const Middle now = middle(at, dt);
      at.set(Column::middle_pressure, now.p);
      at.set(Column::middle_fraction, now.Y);
      at.set(Column::middle_enthalpy, gas.enthalpy(now.T, now.Y));
      const Width pushed =
          now.Y + model.displacement * (1.0 - now.Y) * solver::min(Width(1.0), Width(20.0 * now.Y));
      at.set(Column::overlap_fraction, pushed);
      at.set(Column::overlap_enthalpy, gas.enthalpy(now.T, pushed));
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
  using Crank = CrankSlider::Place<Width>;
  static constexpr std::size_t width = solver::lanes<Width>;

  struct Place {
    const CylinderTable& table;
    std::size_t first;
    Width operator()(Column c) const { return solver::load<Width>(table.of(c) + first); }
    void set(Column c, const Width& value) const { solver::store(table.of(c) + first, value); }
    void add(Column c, const Width& value) const { set(c, (*this)(c) + value); }
  };

  struct Middle {
    Width p, T, Y;
  };
  // Continued from the step before.
  static Middle middle(const Place& at, double dt) {
    const Width Y = at(Column::burnt) / at(Column::mass) + 0.5 * dt * at(Column::fraction_rate);
    return {at(Column::pressure) + 0.5 * dt * at(Column::pressure_rate),
            at(Column::temperature) + 0.5 * dt * at(Column::temperature_rate),
            solver::max(Width(0.0), solver::min(Width(1.0), Y))};
  }

  // Where the crank stands; share burnt, too, as both are known from the end of the step before.
  struct Stand {
    Width sine, cosine;
    Crank crank;
    Width share;
  };
  static Stand stand(const CylinderModel& model, const Width& angle, const Width& turned) {
    const Width sine = solver::sin(turned);
    const Width cosine = solver::cos(turned);
    return {sine, cosine, model.crank.at(sine, cosine), model.burn.share(angle)};
  }
  static Stand start(const CylinderModel& model, const Place& at, const Width& angle) {
    Stand s{at(Column::sine),
            at(Column::cosine),
            {at(Column::position), at(Column::volume), at(Column::volume_slope)},
            at(Column::share)};
    const auto elsewhere = solver::abs(Width(angle - at(Column::angle))) > 1e-9;
    if (!solver::any(elsewhere)) return s;
    const Stand now = stand(model, angle, Width(angle * degree));
    const auto pick = [&](Width& a, const Width& b) { a = solver::select(elsewhere, b, a); };
    pick(s.sine, now.sine);
    pick(s.cosine, now.cosine);
    pick(s.crank.position, now.crank.position);
    pick(s.crank.volume, now.crank.volume);
    pick(s.crank.volume_slope, now.crank.volume_slope);
    pick(s.share, now.share);
    return s;
  }

  // W/(m2 K)
  static Width heat_coefficient(const CylinderModel& model, const Place& at, const solver::Gas& gas,
                                const Middle& now, const Width& angle, const Width& volume) {
    if (model.heat.law == CylinderHeatLaw::annand) {
      const Width rho = now.p / (gas.gas_constant(now.Y) * now.T);
      return model.heat.multiplier * heat_coefficient_annand(model.geometry.bore, rho,
                                                             model.piston_speed, now.T,
                                                             gas.cp(now.T, now.Y));
    }
    const auto closed = angle >= model.intake_closes - 720.0 && angle < model.exhaust_opens;
    const Width p_closed = at(Column::pressure_closed);
    const Width V_closed = at(Column::volume_closed);
    Width w =
        solver::select(closed, Width(2.28 * model.piston_speed), Width(6.18 * model.piston_speed));
    const Width motored =
        p_closed * solver::exp(Width(motored_exponent * solver::log(V_closed / volume)));
    const Width faster = 3.24e-3 * model.crank.swept_volume() * at(Column::temperature_closed) /
                         (p_closed * V_closed) * solver::max(Width(0.0), Width(now.p - motored));
    w = solver::select(closed && angle >= model.burn.start(), Width(w + faster), w);
    return model.heat.multiplier * heat_coefficient_woschni(model.geometry.bore, now.p, now.T, w);
  }

  static void step_pack(const CylinderModel& model, const Place& at, const solver::Gas& gas,
                        double engine_angle, double d_angle, double dt) {
    namespace odeint = boost::numeric::odeint;
    using Sums = std::array<Width, 3>;  // energy, work, wall heat, all in J

    const Width angle = fold_around_firing(engine_angle - at(Column::firing));
    const Width after = angle + d_angle;
    const Width mass = at(Column::mass);
    const Width burnt = at(Column::burnt);
    // Marks are noted rather than looked for between two angles: the end of one step and the start
    // of the next differ by rounding, and a mark may lie between them.
    const auto before_spark = after < model.burn.start();
    const auto lights = !before_spark && at(Column::ignited) == 0.0;
    const Width unburned_air_at_ignition =
        solver::select(lights, Width(mass - burnt), at(Column::unburned_air_at_ignition));
    const Stand begin = start(model, at, angle);
    Stand end = stand(model, after, Width(after * degree));
    const Width share_before = solver::select(angle <= model.burn.start(), Width(0.0), begin.share);
    const Width burnt_air = unburned_air_at_ignition * (end.share - share_before);
    const Width fuel = burnt_air * fuel_per_air(model.combustion);
    const Width heat = burnt_air * heat_at_datum(model.combustion, gas);

    // All rates are taken over the step.
    const Width mass_gain = dt * at(Column::mass_flow) + fuel;
    const Width burnt_gain = dt * at(Column::burnt_flow) + (burnt_air + fuel);
    const Width energy_gain = dt * at(Column::enthalpy_flow) + heat;

    // The stages of the Runge-Kutta step stand at its begin, its middle and its end.
    const double half_sine = solver::sin(0.5 * d_angle * degree);
    const double half_cosine = solver::cos(0.5 * d_angle * degree);
    const Crank half = model.crank.at(Width(begin.sine * half_cosine + begin.cosine * half_sine),
                                      Width(begin.cosine * half_cosine - begin.sine * half_sine));
    // Walls: head and piston crown of flat area, and the liner laid bare.
    const Width h = dt * heat_coefficient(model, at, gas, middle(at, dt),
                                          Width(angle + 0.5 * d_angle), half.volume);
    const double flat = model.crank.piston_area();
    const double turn = 2.0 * std::numbers::pi * model.speed * dt;  // rad
    // What a stage takes that does not wait for the one before.
    struct Stage {
      Width by_mass;      // 1/kg
      Width Y, R;         // 1, J/(kg K)
      Width density;      // kg/m3
      Width volume_gain;  // m3
      Width area;         // m2 of wall
      Width area_by_T;    // m2 K, wall times its temperature
    };
    const auto stage_at = [&](const Crank& place, double share) {
      const Width m = mass + share * mass_gain;
      const Width by_mass = 1.0 / m;
      const Width Y = (burnt + share * burnt_gain) * by_mass;
      const Width liner = std::numbers::pi * model.geometry.bore * place.position;
      return Stage{by_mass,
                   Y,
                   gas.gas_constant(Y),
                   m / place.volume,
                   place.volume_slope * turn,
                   2.0 * flat + liner,
                   flat * (model.heat.head_temperature + model.heat.piston_temperature) +
                       liner * model.heat.liner_temperature};
    };
    const std::array<Stage, 3> stages{stage_at(begin.crank, 0.0), stage_at(half, 0.5),
                                      stage_at(end.crank, 1.0)};
    const auto rates = [&](const Sums& y, Sums& rate, double share) {
      const Stage& s = stages[share < 0.25 ? 0 : share < 0.75 ? 1 : 2];
      const Width T = gas.temperature(Width(y[0] * s.by_mass), s.Y);
      const Width power = s.density * s.R * T * s.volume_gain;
      const Width loss = h * (s.area * T - s.area_by_T);
      rate = {energy_gain - power - loss, power, loss};
    };
    Sums y{at(Column::energy), Width(0.0), Width(0.0)};
    odeint::runge_kutta4<Sums, double, Sums, double, odeint::array_algebra> stepper;
    stepper.do_step(rates, y, 0.0, 1.0);

    const Width mass_after = mass + mass_gain;
    const Width burnt_after = burnt + burnt_gain;
    const Width Y = burnt_after / mass_after;
    const Width T = gas.temperature(Width(y[0] / mass_after), Y);
    const Width p = mass_after * gas.gas_constant(Y) * T / end.crank.volume;
    at.set(Column::pressure_rate, (p - at(Column::pressure)) / dt);
    at.set(Column::temperature_rate, (T - at(Column::temperature)) / dt);
    at.set(Column::fraction_rate, (Y - burnt / mass) / dt);
    at.set(Column::mass, mass_after);
    at.set(Column::burnt, burnt_after);
    at.set(Column::energy, y[0]);
    at.set(Column::pressure, p);
    at.set(Column::temperature, T);

    at.add(Column::work, y[1]);
    const auto around_top = solver::abs(Width(angle + 0.5 * d_angle)) < 180.0;
    at.add(Column::work_gross, solver::select(around_top, y[1], Width(0.0)));
    at.add(Column::wall_heat, y[2]);
    at.add(Column::heat, heat);
    at.add(Column::fuel, fuel);
    at.add(Column::made_burnt, burnt_air + fuel);

    at.set(Column::angle, fold_around_firing(after));
    at.set(Column::sine, end.sine);
    at.set(Column::cosine, end.cosine);
    at.set(Column::position, end.crank.position);
    at.set(Column::volume, end.crank.volume);
    at.set(Column::volume_slope, end.crank.volume_slope);
    at.set(Column::share, end.share);

    at.set(Column::ignited, solver::select(before_spark, Width(0.0), Width(1.0)));
    at.set(Column::unburned_air_at_ignition, unburned_air_at_ignition);
    const auto before_closing = after < model.intake_closes - 720.0;
    const auto closes = !before_closing && at(Column::closed) == 0.0;
    at.set(Column::closed, solver::select(before_closing, Width(0.0), Width(1.0)));
    at.set(Column::pressure_closed, solver::select(closes, p, at(Column::pressure_closed)));
    at.set(Column::temperature_closed, solver::select(closes, T, at(Column::temperature_closed)));
    at.set(Column::volume_closed,
           solver::select(closes, end.crank.volume, at(Column::volume_closed)));
  }

  static constexpr double motored_exponent = 1.32;  // polytropic, of the motored pressure
};

// In packs of eight, for processors with AVX-512; null pointers where the program was built
// without.
extern const CylinderKernelTable avx512_cylinders;

}  // namespace pulsewright::models
