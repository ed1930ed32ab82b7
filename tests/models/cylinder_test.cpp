// The cylinder as a whole: what needs no published value.
#include "validation/cylinder/cylinder.hpp"

#include <doctest/doctest.h>

#include "models/cylinders.hpp"
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

TEST_CASE("the charge is lit once, wherever the steps end around the spark") {
  // The end of a step and the start of the next differ by rounding; a spark between them counts.
  const auto gas = constant_gamma_gas(1.4);
  for (const int steps : {18, 36, 180, 360, 1800, 18000}) {
    for (const double shift : {-1e-13, -3e-14, 0.0, 3e-14, 1e-13, 0.01}) {
      CAPTURE(steps);
      CAPTURE(shift);
      EngineSpecification e = adiabatic_engine(10, 1e6);
      e.combustion.duration_deg = 40;
      e.combustion.half_burnt_deg -= 20 + shift + WiebeBurn(e.combustion, speed).start();
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

}  // namespace pulsewright::tests
