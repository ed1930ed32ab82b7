// Ends at which pressure or mass flow is prescribed: against the exact simple wave, and what passes
// them against what is then in the pipe.
#include "models/boundary/prescribed_end.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/textbook_air.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

constexpr double p_0 = 1e5;
constexpr double T_0 = 300;
const double c_0 = std::sqrt(g * R * T_0);
const double rho_0 = p_0 / (R * T_0);

// A smooth pipe of gas at rest, closed at its right end, whose left end follows the course.
EngineSpecification pipe_driven(PrescribedQuantity quantity, const CourseInTime& value,
                                double temperature = T_0, double burnt = 0) {
  EngineSpecification e;
  e.pipes = {smooth_pipe("pipe", 1.0, 0.04, 0.005)};
  e.pipes[0].initial_pressure = p_0;
  e.pipes[0].initial_temperature = T_0;
  e.closed_ends = {{{0, Side::right}}};
  e.prescribed_ends = {{{0, Side::left}, quantity, value, temperature, burnt}};
  return e;
}

// Velocity behind a simple wave that runs into gas at rest, for X = (p/p0)^((gamma-1)/(2 gamma));
// Toro (2009), section 4.4, or Whitham (1974), section 6.8.
double velocity_of(double X) { return 2 * c_0 / (g - 1) * (X - 1); }

// X at x and t of the simple wave whose value at x = 0 is X_end(t): constant along dx/dt = u + c.
double simple_wave(const std::function<double(double)>& X_end, double x, double t) {
  double low = -1e-9;
  double high = t;
  for (int i = 0; i < 100; ++i) {  // the launch time; the distance falls with it
    const double start = 0.5 * (low + high);
    const double X = X_end(start);
    const double reached = (velocity_of(X) + c_0 * X) * (t - start);
    (reached > x ? low : high) = start;
  }
  return X_end(0.5 * (low + high));
}

double smooth_step(double t) {
  const double s = std::sin(0.5 * std::numbers::pi * std::clamp(t / 1.5e-3, 0.0, 1.0));
  return s * s;
}

}  // namespace

TEST_CASE("prescribed pressure: the gas that leaves sends the exact rarefaction into the pipe") {
  const auto gas = constant_gamma_gas(g, R);
  const auto pressure = [](double t) { return p_0 * (1 - 0.3 * smooth_step(t)); };
  const auto X_end = [&](double t) { return wave_amplitude((t > 0 ? pressure(t) : p_0) / p_0, g); };
  PipeRig rig(pipe_driven(PrescribedQuantity::static_pressure, pressure), gas);
  rig.run_until(2e-3);
  double worst_p = 0;
  double worst_u = 0;
  for (std::size_t k = 0; k < rig.pipe(0).cells(); ++k) {
    const auto w = rig.pipe(0).state(k);
    const double X = simple_wave(X_end, rig.pipe(0).centre(k), rig.time());
    worst_p = std::max(worst_p, std::abs(w.p - p_0 * wave_pressure_ratio(X, g)));
    worst_u = std::max(worst_u, std::abs(w.u - velocity_of(X)));
  }
  // Of the height of the wave, 0.3 bar and 85 m/s: half a per cent, what the second-order scheme
  // leaves on these cells; bound of our own choosing.
  CHECK(worst_p < 0.005 * 0.3 * p_0);
  CHECK(worst_u < 0.005 * 85);
}

TEST_CASE("prescribed mass flow: out of the pipe it sends the exact rarefaction") {
  const auto gas = constant_gamma_gas(g, R);
  const double area = 0.25 * std::numbers::pi * 0.04 * 0.04;
  const double most = 60.0;  // kg/(m2 s)
  const auto flow = [&](double t) { return -most * area * smooth_step(t); };
  // rho u = G of the simple wave, rho = rho_0 X^(2/(gamma-1)), by bisection.
  const auto X_end = [&](double t) {
    const double G = t > 0 ? flow(t) / area : 0.0;
    double low = 0.8;
    double high = 1;
    for (int i = 0; i < 100; ++i) {
      const double X = 0.5 * (low + high);
      (rho_0 * std::pow(X, 2 / (g - 1)) * velocity_of(X) < G ? low : high) = X;
    }
    return 0.5 * (low + high);
  };
  PipeRig rig(pipe_driven(PrescribedQuantity::mass_flow, flow), gas);
  rig.run_until(2e-3);
  double worst = 0;
  for (std::size_t k = 0; k < rig.pipe(0).cells(); ++k) {
    const double X = simple_wave(X_end, rig.pipe(0).centre(k), rig.time());
    worst = std::max(worst, std::abs(rig.pipe(0).state(k).p - p_0 * wave_pressure_ratio(X, g)));
  }
  const double height = p_0 * (1 - wave_pressure_ratio(X_end(1.5e-3), g));
  CHECK(height > 0.15 * p_0);
  CHECK(worst < 0.005 * height);  // as above
}

TEST_CASE("prescribed ends: what passes them is what the pipe gains") {
  const solver::Gas gas{{287.05, 650, 0.2}, {286.6, 720, 0.22}};
  const auto back_and_forth = [](double t) { return std::sin(1500 * t); };
  struct Course {
    PrescribedQuantity quantity;
    CourseInTime value;
  };
  for (const Course& course :
       {Course{PrescribedQuantity::static_pressure,
               [=](double t) { return p_0 * (1 + 0.2 * back_and_forth(t)); }},
        Course{PrescribedQuantity::mass_flow, [=](double t) { return 0.06 * back_and_forth(t); }},
        Course{PrescribedQuantity::wave,
               [=](double t) { return p_0 * (1 + 0.2 * back_and_forth(t)); }}}) {
    CAPTURE(static_cast<int>(course.quantity));
    PipeRig rig(pipe_driven(course.quantity, course.value, 700, 1), gas);
    const Content before = rig.network().content();
    rig.run_until(0.011);
    const Content after = rig.network().content();
    const Content taken = rig.taken();
    CHECK(std::abs(taken.mass) > 1e-3 * before.mass);
    CHECK(near(after.mass - before.mass, taken.mass, 0, 1e-12 * before.mass));
    CHECK(near(after.burnt - before.burnt, taken.burnt, 0, 1e-12 * before.mass));
    CHECK(near(after.energy - before.energy, taken.energy, 0, 1e-12 * before.energy));
  }
}

TEST_CASE("prescribed mass flow: flux, stagnation enthalpy and the limits of Mach 1") {
  const solver::Gas gas{{287.05, 650, 0.2}, {286.6, 720, 0.22}};
  const double h_total = gas.enthalpy(900.0, 0.7);
  for (const double u : {-80.0, 0.0, 120.0}) {
    const solver::Primitive<double> end{1.1e5 / (gas.gas_constant(0.0) * 400), u, 1.1e5, 0.0};
    const solver::EndWave<double> wave(gas, end, 1.0);
    for (const double G : {1e-6, 1.0, 40.0, 120.0, 1500.0}) {
      const auto f = flow_of_mass_flux(gas, wave, G, h_total, 0.7);
      CAPTURE(u);
      CAPTURE(G);
      CHECK(near(f.mass, G, 1e-15));
      CHECK(near(f.energy, G * h_total, 1e-14));
      CHECK(near(f.burnt, 0.7 * G, 1e-14));
      CHECK(near(f.momentum, f.mass * f.v + f.p, 1e-12));
      if (f.sonic_limited == 0) {
        // Same gas at the end by its pressure and by its enthalpy, and on the wave of the pipe.
        const double T = gas.temperature_from_enthalpy(h_total - 0.5 * f.v * f.v, 0.7);
        // Round-off of the pressure over the speed of sound: 2e-16 * 5e5 / 300, some times over.
        CHECK(near(f.p / (gas.gas_constant(0.7) * T) * f.v, G, 1e-8, 2e-12));
        CHECK(near(wave.velocity(f.p), f.v, 1e-6, 1e-6));
        CHECK(f.v <= gas.sound_speed(T, 0.7) * (1 + 1e-9));
      }
    }
    CHECK(flow_of_mass_flux(gas, wave, 5000, h_total, 0.7).sonic_limited == 1);
    for (const double G : {-1e-6, -1.0, -40.0}) {
      const auto f = flow_of_mass_flux(gas, wave, G, h_total, 0.7);
      CHECK(near(f.mass, G, 1e-15));
      CHECK(f.burnt == 0);
      // The pipe's own gas, whose stagnation enthalpy the wave changes.
      const auto behind = wave.behind(f.p);
      const double T = f.p / (behind.rho * gas.gas_constant(0.0));
      CHECK(near(behind.rho * behind.v, G, 1e-8, 2e-12));  // as above
      CHECK(near(f.energy, f.mass * (gas.enthalpy(T, 0.0) + 0.5 * f.v * f.v), 1e-9));
    }
    // More than the pipe can give: what it gives at Mach 1, whatever is prescribed beyond it.
    const auto most = flow_of_mass_flux(gas, wave, -2000, h_total, 0.7);
    CHECK(most.mass > -2000);
    CHECK(flow_of_mass_flux(gas, wave, -5000, h_total, 0.7).mass == most.mass);
    const auto closed = flow_of_mass_flux(gas, wave, 0, h_total, 0.7);
    CHECK(closed.mass == 0);
    CHECK(closed.p == wave.wall_pressure());
  }
}

TEST_CASE("prescribed ends: a course in time is needed") {
  const auto gas = constant_gamma_gas();
  EngineSpecification e = pipe_driven(PrescribedQuantity::mass_flow, {});
  CHECK_THROWS_AS(Network(e, gas, LimiterChoice::van_leer), std::invalid_argument);
  e.prescribed_ends.clear();
  e.orifice_ends = {{{0, Side::left}, {}, [](double) { return 0.5; }}};
  CHECK_THROWS_AS(Network(e, gas, LimiterChoice::van_leer), std::invalid_argument);
}

}  // namespace pulsewright::tests
