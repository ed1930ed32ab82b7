// The cylinder as a whole: what needs no published value.
#include "models/cylinder/cylinders.hpp"

#include <doctest/doctest.h>
#include <vector>

#include "tests/near.hpp"
#include "validation/rig/one_cylinder.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

constexpr double speed = cylinder_speed;

void turn(OneCylinder& cylinder, const solver::Gas& gas, double from, double to, int steps) {
  const double d = (to - from) / steps;
  for (int i = 0; i < steps; ++i) {
    cylinder.step(gas, from + i * d, d, d / (360.0 * speed), {}, {});
  }
}

}  // namespace

TEST_CASE("compression and expansion without heat are isentropic and give the work back") {
  EngineSpecification e = adiabatic_engine(12, 0);
  const auto gas = constant_gamma_gas(1.35);
  OneCylinder cylinder(e, speed);
  cylinder.fill(gas, 1e5, 320, 0.5, 540);
  turn(cylinder, gas, 540, 720, 400);
  CHECK(near(cylinder.pressure(), 1e5 * std::pow(12, 1.35), 1e-7));
  CHECK(near(cylinder.temperature(), 320 * std::pow(12, 0.35), 1e-7));
  turn(cylinder, gas, 0, 180, 400);
  CHECK(near(cylinder.pressure(), 1e5, 1e-7));
  CHECK(near(cylinder.sums().work, 0, 0, 1e-6));
}

TEST_CASE("fuel that evaporates in the cylinder takes its heat from the charge that enters") {
  EngineSpecification e = adiabatic_engine(10, 0);
  e.combustion.air_fuel_ratio = 12.5;
  e.combustion.latent_heat = 350e3;
  e.combustion.evaporated_in_cylinder = 0.5;
  e.combustion.fuel_vapour = 0.01;
  const auto gas = constant_gamma_gas(1.4);
  OneCylinder cylinder(e, speed);
  cylinder.fill(gas, 1e5, 400, 1.0, 400);
  const double before = cylinder.internal_energy();
  // 2 g/s of charge at 300 K, a tenth of it burnt gas, for one degree.
  const double dt = 1 / (360.0 * speed);
  const double enthalpy = 2e-3 * gas.enthalpy(300.0, 0.1);
  cylinder.step(gas, 400, 1, dt, {}, {2e-3, enthalpy, 2e-4});
  // 350 kJ/kg / 12.5 x 0.5 x 0.99 of dry air = 13.86 kJ per kg of fresh charge, 1.8 g/s of it.
  const double taken = 13.86e3 * 1.8e-3 * dt;
  CHECK(near(cylinder.sums().heat, -taken, 1e-12));
  CHECK(near(cylinder.internal_energy() - before,
             enthalpy * dt - taken - cylinder.sums().work - cylinder.sums().wall_heat, 1e-9));
}

TEST_CASE("charge that is pushed back and comes again evaporates once") {
  EngineSpecification e = adiabatic_engine(10, 0);
  e.combustion.air_fuel_ratio = 12.5;
  e.combustion.latent_heat = 350e3;
  e.combustion.evaporated_in_cylinder = 0.5;
  const auto gas = constant_gamma_gas(1.4);
  OneCylinder cylinder(e, speed);
  cylinder.fill(gas, 1e5, 400, 0.0, 400);
  const double dt = 1 / (360.0 * speed);
  const double per_kg = 350e3 / 12.5 * 0.5;
  // In by 5 g/s, back by 3 and by 1, in again by 3 and by 2.5: of that 4 have been in before.
  double entered = 0;
  double angle = 400;
  const auto flow = [&](double kg_per_s, double newly) {
    entered += newly * dt;
    cylinder.step(gas, angle, 1, dt, {}, {kg_per_s, kg_per_s * gas.enthalpy(300.0, 0.0), 0});
    angle += 1;
    CAPTURE(angle);
    CHECK(near(cylinder.sums().heat, -per_kg * entered, 1e-12));
  };
  flow(5e-3, 5e-3);
  flow(-3e-3, 0);
  flow(-1e-3, 0);
  flow(3e-3, 0);
  flow(2.5e-3, 1.5e-3);
  flow(1e-3, 1e-3);
}

TEST_CASE("the charge is ignited once, wherever the steps end around the spark") {
  // The end of a step and the start of the next differ by rounding; a spark between them counts.
  const auto gas = constant_gamma_gas(1.4);
  for (const int steps : {18, 36, 180, 360, 1800, 18000}) {
    for (const double shift : {-1e-13, -3e-14, 0.0, 3e-14, 1e-13, 0.01}) {
      CAPTURE(steps);
      CAPTURE(shift);
      EngineSpecification e = adiabatic_engine(10, 1e6);
      e.combustion.duration_deg = 40;
      e.combustion.burned_50_deg -= 20 + shift + WiebeBurn(e.combustion, speed).start();
      OneCylinder cylinder(e, speed);
      cylinder.fill(gas, 1e5, 320, 0.0, 540);
      const double air = cylinder.mass();
      turn(cylinder, gas, -180, 180, steps);
      CHECK(near(cylinder.burnt_fraction(), 1.0, 1e-12));
      CHECK(near(cylinder.sums().fuel, air * fuel_per_air(e.combustion), 1e-12));
    }
  }
}

TEST_CASE("the cylinder's energy balance closes to round-off with everything switched on") {
  // First law; no source needed.
  EngineSpecification e = adiabatic_engine(11, 1e6);
  for (const auto law : {CylinderHeatLaw::woschni, CylinderHeatLaw::annand}) {
    e.combustion = CombustionSpecification{};
    e.cylinder_heat = CylinderHeatSpecification{};
    e.cylinder_heat.law = law;
    const solver::Gas gas{{287.05, 650, 0.2}, {286.6, 720, 0.22}};
    OneCylinder cylinder(e, speed);
    cylinder.fill(gas, 1e5, 330, 0.1, 540);
    const double energy = cylinder.internal_energy();
    const double mass = cylinder.mass();
    const double burnt = cylinder.burnt_mass();
    const double dt = 0.5 / (360 * speed);
    double in_mass = 0;
    double in_energy = 0;
    double in_burnt = 0;
    for (int i = 0; i < 720; ++i) {
      const ValveFlow out{-0.01, -0.01 * 1e6, -0.002};
      const ValveFlow in{0.012, 0.012 * 4e5, 0.001};
      cylinder.step(gas, 540 + 0.5 * i, 0.5, dt, out, in);
      in_mass += dt * (out.mass + in.mass);
      in_energy += dt * (out.enthalpy + in.enthalpy);
      in_burnt += dt * (out.burnt + in.burnt);
    }
    const auto& s = cylinder.sums();
    CHECK(s.heat > 500);
    CHECK(s.wall_heat > 10);
    CHECK(near(cylinder.internal_energy() - energy, in_energy + s.heat - s.work - s.wall_heat, 0,
               1e-12 * s.heat));
    // 720 steps of round-off
    CHECK(near(cylinder.mass() - mass, in_mass + s.fuel, 0, 2e-13 * mass));
    CHECK(near(cylinder.burnt_mass() - burnt, in_burnt + s.made_burnt, 0, 2e-13 * mass));
  }
}

namespace {

// Eight cylinders that fire 90 deg apart, with heat, fuel and gas through the valves.
EngineSpecification eight_cylinders() {
  EngineSpecification e = adiabatic_engine(11, 1e6);
  e.combustion = CombustionSpecification{};
  e.cylinder_heat = CylinderHeatSpecification{};
  e.cylinders.resize(8);
  for (int i = 0; i < 8; ++i) {
    e.cylinders[static_cast<std::size_t>(i)].number = i + 1;
    e.cylinders[static_cast<std::size_t>(i)].firing_angle_deg = 90 * i;
  }
  return e;
}

const solver::Gas two_gases{{287.05, 650, 0.2}, {286.6, 720, 0.22}};

// Two turns of the crank with gas through the valves.
void run(Cylinders& cylinders) {
  for (std::size_t i = 0; i < cylinders.size(); ++i) {
    cylinders.fill(i, two_gases, 1e5 + 1e3 * static_cast<double>(i), 350, 0.1, 0);
  }
  for (int k = 0; k < 1440; ++k) {
    const double dt = 0.5 / (360 * speed);
    cylinders.predict_midpoint(two_gases, dt);
    for (std::size_t i = 0; i < cylinders.size(); ++i) {
      const double h = cylinders.reservoir(i).h_total;
      cylinders.set_flow(i, {-0.01, -0.01 * h, -0.002}, {0.01, 0.01 * 3e5, 0});
    }
    cylinders.step(two_gases, 0.5 * k, 0.5, dt);
  }
}

}  // namespace

TEST_CASE("what a cylinder does depends on no other in its pack") {
  const EngineSpecification engine = eight_cylinders();
  Cylinders all(engine, speed);
  run(all);
  for (const std::size_t n : {1U, 3U, 5U}) {
    EngineSpecification fewer = engine;
    fewer.cylinders.resize(n);
    Cylinders some(fewer, speed);
    run(some);
    for (std::size_t i = 0; i < n; ++i) {
      CHECK(some.pressure(i) == all.pressure(i));
      CHECK(some.temperature(i) == all.temperature(i));
      CHECK(some.mass(i) == all.mass(i));
      CHECK(some.burnt_mass(i) == all.burnt_mass(i));
      CHECK(some.sums(i).work == all.sums(i).work);
      CHECK(some.sums(i).wall_heat == all.sums(i).wall_heat);
    }
  }
  CHECK(all.sums(0).fuel > 0);
  CHECK(all.sums(0).wall_heat != 0);
}

TEST_CASE("cylinders: every instruction set gives the same bits") {
  // The sets share their formulas, and the vector functions of the C library agree.
  for (const auto law : {CylinderHeatLaw::woschni, CylinderHeatLaw::annand}) {
    EngineSpecification engine = eight_cylinders();
    engine.cylinder_heat.law = law;
    const CylinderModel model = cylinder_model(engine, speed);
    using Column = CylinderColumn;
    std::vector<double> one(cylinder_columns * 8);
    const CylinderTable table{one.data(), 8};
    for (std::size_t i = 0; i < 8; ++i) {
      const double mass = 5e-4 + 1e-5 * static_cast<double>(i);
      const auto set = [&](Column c, double value) { table.of(c)[i] = value; };
      set(Column::firing, 90.0 * static_cast<double>(i));
      set(Column::mass, mass);
      set(Column::burnt, 0.1 * mass);
      set(Column::energy, mass * two_gases.internal(400.0, 0.1));
      set(Column::pressure, 1e5);
      set(Column::temperature, 400);
      set(Column::angle, 1e9);
      set(Column::ignited, 1);
      set(Column::closed, 1);
      set(Column::pressure_closed, 1e5);
      set(Column::temperature_closed, 400);
      set(Column::volume_closed, 5e-4);
      set(Column::mass_flow, 1e-4);
      set(Column::enthalpy_flow, 1e-4 * 3e5);
    }
    const std::vector<double> start = one;
    const auto run_in = [&](const CylinderKernelTable& kernels, std::vector<double>& data) {
      const CylinderTable columns{data.data(), 8};
      for (int k = 0; k < 1440; ++k) {
        const double dt = 0.5 / (360 * speed);
        kernels.predict_midpoint(model, columns, 8, two_gases, dt);
        kernels.step(model, columns, 8, two_gases, 0.5 * k, 0.5, dt);
      }
    };
    run_in(cylinder_kernels.in_use(), one);
    for (const solver::InstructionSet set : solver::instruction_sets) {
      if (!solver::supported(set)) {
        MESSAGE("not supported by this processor or this build: ", name_of(set));
        continue;
      }
      CAPTURE(name_of(set));
      std::vector<double> other = start;
      run_in(cylinder_kernels.of(set), other);
      CHECK(one == other);
    }
    for (std::size_t i = 0; i < 8; ++i) CHECK(table.of(Column::fuel)[i] > 0);
  }
}

}  // namespace pulsewright::tests
