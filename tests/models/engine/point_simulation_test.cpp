// The whole engine, quick cases: one cylinder, balance, convergence, restart, refusals and faults.
#include "models/engine/point_simulation.hpp"

#include <doctest/doctest.h>

#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

std::string fault_of(const EngineSpecification& e) {
  try {
    run_engine(e, 6000);
  } catch (const RunFault& fault) {
    return fault.what();
  }
  return "no fault";
}

double mean_of(const std::vector<float>& trace) {
  double sum = 0;
  for (const float x : trace) sum += x;
  return sum / static_cast<double>(trace.size());
}

}  // namespace

TEST_CASE("single cylinder: converges, balances, and is a plausible engine") {
  const auto r = run_engine(single_cylinder(0.7, 0.02), 6000);
  CHECK(r.converged);
  CHECK(r.period == 1);
  CHECK(r.clipped == 0);
  CHECK(std::abs(r.ledger.mass.imbalance) < 1e-10);
  CHECK(std::abs(r.ledger.burnt.imbalance) < 1e-10);
  CHECK(std::abs(r.ledger.energy.imbalance) < 1e-10);
  // Ranges of a tuned naturally aspirated engine near its torque peak: common practice, no source.
  CHECK(r.volumetric_efficiency > 0.8);
  CHECK(r.volumetric_efficiency < 1.2);
  CHECK(r.bmep > 9e5);
  CHECK(r.bmep < 14.5e5);
  // Definitions: torque, power and mean pressures of a four-stroke engine, Heywood (1988),
  // section 2.
  const double swept = CrankSlider(engine_without_pipes().geometry).swept_volume();
  CHECK(near(r.torque, r.bmep * swept / (4 * std::numbers::pi), 1e-12));
  CHECK(near(r.power, r.torque * 2 * std::numbers::pi * 100, 1e-12));
  CHECK(near(r.imep - r.fmep, r.bmep, 1e-12));
  CHECK(near(r.cylinders[0].imep_gross - r.pmep, r.imep, 1e-12));
  // What the intake takes in and the fuel leave through the tail.
  CHECK(near(r.ledger.mass.in + r.ledger.mass.source, r.ledger.mass.out, 2e-3));
  CHECK(near(r.ledger.mass.source / r.ledger.mass.in, 1 / 12.8, 0.02));
  // The fuel of all air that passed the intake valve; the ledger has that of the trapped air.
  const double air = 101325 / (287.05 * 293.15) * swept;
  CHECK(near(r.fuel_flow, 50 * r.volumetric_efficiency * air / 12.8, 1e-4));
  CHECK(r.short_circuit_fraction > 0.005);
  CHECK(near(r.fuel_flow * (1 - r.short_circuit_fraction), 50 * r.ledger.mass.source, 2e-3));
  CHECK(
      near(r.charging_efficiency, r.volumetric_efficiency * (1 - r.short_circuit_fraction), 2e-3));
  // Below sonic speed in the tubes of a sound engine, fastest in the exhaust at blowdown: common
  // practice, no source.
  CHECK(r.exhaust_peak_mach > 0.3);
  CHECK(r.exhaust_peak_mach < 1.05);
  const auto& fastest = r.pipes[static_cast<std::size_t>(r.exhaust_peak_mach_pipe)];
  CHECK(fastest.name == "primary 1");
  CHECK(fastest.peak_mach == r.exhaust_peak_mach);
  CHECK(fastest.peak_mach_angle > 102);
  CHECK(fastest.peak_mach_angle < 360);
}

TEST_CASE("traces add up to what passed") {
  RunSettings settings;
  settings.store_wave_diagram = true;
  const auto r = run_engine(single_cylinder(0.7, 0.02), 6000, settings);
  constexpr double cycle = 0.02;  // s
  REQUIRE(r.traces.size() == 1);
  const auto& t = r.traces[0];
  REQUIRE(t.exhaust_mass_flow.size() == 720);
  // Sums over 720 samples of a smooth periodic function.
  CHECK(near(mean_of(t.intake_mass_flow) * cycle, r.ledger.mass.in, 0.005));
  CHECK(near(mean_of(t.exhaust_mass_flow) * cycle, r.ledger.mass.out, 0.005));
  const auto highest = *std::max_element(t.cylinder_pressure.begin(), t.cylinder_pressure.end());
  CHECK(near(highest, r.cylinders[0].peak_pressure, 0.002));
  double stroke = 0;  // trapezoidal rule
  for (std::size_t k = 180; k <= 360; ++k) {
    stroke += (k == 180 || k == 360 ? 0.5 : 1.0) * (t.exhaust_pressure[k] - 101325) / 180;
  }
  // An offset of the samples by a quarter of a degree would show: the pressure falls by 100 kPa
  // from one end of the stroke to the other.
  CHECK(near(stroke, r.cylinders[0].exhaust_stroke_pressure, 0, 0.25 * 100e3 / 180));
  for (std::size_t k = 400; k < 720; ++k) CHECK(t.exhaust_mass_flow[k] == 0);
  CHECK(r.wave.cylinder == 1);
  CHECK(r.wave.angle.size() == 360);
  CHECK(r.wave.pressure.size() == r.wave.angle.size() * r.wave.distance.size());
  // The first column of the diagram is the pipe at the valve.
  for (std::size_t row = 0; row < 360; row += 7) {
    const double p = r.wave.pressure[row * r.wave.distance.size()];
    CHECK(near(p, t.exhaust_pressure[2 * row], 0.12));
    CHECK(p > 2e4);
  }
}

TEST_CASE("a run that may not go on stops, one that has too few cycles says so") {
  PointSimulation stopped(single_cylinder(0.7, 0.02), 100, {});
  int calls = 0;
  CHECK_THROWS_AS(stopped.run([&] { return ++calls < 3; }), RunStopped);
  CHECK(calls == 3);
  RunSettings few;
  few.most_cycles = 2;
  const auto r = run_engine(single_cylinder(0.7, 0.02), 6000, few);
  CHECK_FALSE(r.converged);
  CHECK(r.cycles == 2);
  CHECK(std::abs(r.ledger.mass.imbalance) < 1e-10);
}

TEST_CASE("a run whose changes no longer fall is given up, with its last cycle recorded") {
  RunSettings settings;
  settings.tolerance = -1;  // no change is as small, so those of round-off remain
  settings.most_cycles = 100;
  for (const bool record : {true, false}) {
    CAPTURE(record);
    settings.record = record;
    const auto r = run_engine(single_cylinder(0.7, 0.1), 6000, settings);
    CHECK_FALSE(r.converged);
    CHECK(r.cycles >= 40);
    CHECK(r.cycles < 100);
    CHECK(r.traces.empty() != record);
    CHECK(std::abs(r.ledger.mass.imbalance) < 1e-10);
  }
}

TEST_CASE("a run starts from another grid and converges to the same result") {
  RunSettings settings;
  settings.tolerance = 1e-5;
  settings.most_cycles = 60;
  const auto plain = run_engine(single_cylinder(0.7, 0.02), 6000, settings);
  PointSimulation coarse(single_cylinder(0.7, 0.04), 100, settings);
  coarse.run();
  PointSimulation fine(single_cylinder(0.7, 0.02), 100, settings);
  fine.start_from(coarse);
  const auto restarted = fine.run();
  CHECK(plain.converged);
  CHECK(restarted.converged);
  CHECK(restarted.cycles < plain.cycles);
  // Each is within some times the tolerance of the limit cycle.
  CHECK(near(restarted.torque, plain.torque, 1e-4));
  CHECK(near(restarted.volumetric_efficiency, plain.volumetric_efficiency, 1e-4));
  CHECK(near(restarted.overlap_exhaust_pressure, plain.overlap_exhaust_pressure, 0, 20));
  CHECK(std::abs(restarted.ledger.energy.imbalance) < 1e-10);

  PointSimulation other_speed(single_cylinder(0.7, 0.02), 90, settings);
  CHECK_THROWS_AS(other_speed.start_from(coarse), std::invalid_argument);
}

TEST_CASE("the choice of limiter changes the result little") {
  // Bounds of our own choosing: half a per cent of torque between the two smooth limiters, one with
  // minmod, at 10 mm cells.
  double torque[3];
  int i = 0;
  for (const auto limiter :
       {LimiterChoice::monotonized_central, LimiterChoice::van_leer, LimiterChoice::minmod}) {
    RunSettings settings;
    settings.limiter = limiter;
    torque[i++] = run_engine(single_cylinder(0.7, 0.01), 6000, settings).torque;
  }
  MESSAGE("torque: monotonized central ", torque[0], ", van Leer ", torque[1], ", minmod ",
          torque[2], " N m");
  CHECK(near(torque[1], torque[0], 0.005));
  CHECK(near(torque[2], torque[0], 0.01));
}

TEST_CASE("scavenging by displacement leaves less burnt gas than perfect mixing") {
  EngineSpecification e = single_cylinder(0.7, 0.02);
  const auto mixed = run_engine(e, 6000);
  e.scavenge_displacement = 1;
  const auto displaced = run_engine(e, 6000);
  CHECK(displaced.residual_fraction < mixed.residual_fraction);
  CHECK(displaced.short_circuit_fraction < mixed.short_circuit_fraction);
  CHECK(std::abs(displaced.ledger.burnt.imbalance) < 1e-10);
  CHECK(std::abs(displaced.ledger.energy.imbalance) < 1e-10);
}

TEST_CASE("an engine that can not be built is refused") {
  EngineSpecification e = single_cylinder(0.7, 0.02);
  CHECK_THROWS_AS(PointSimulation(e, 0, {}), std::invalid_argument);
  CHECK_THROWS_AS(PointSimulation(e, -50, {}), std::invalid_argument);
  for (double& area : e.exhaust_valve.forward.area) area *= 3;
  try {
    PointSimulation run(e, 100, {});
    FAIL("a valve wider than its port was accepted");
  } catch (const std::invalid_argument& error) {
    CHECK(contains(error.what(), "cylinder 1"));
    CHECK(contains(error.what(), "larger than its port"));
  }
  EngineSpecification none;
  CHECK_THROWS_AS(PointSimulation(none, 100, {}), std::invalid_argument);
}

TEST_CASE("a fault names part, place, quantity, crank angle and speed") {
  EngineSpecification vacuum = single_cylinder(0.7, 0.02);
  vacuum.pipes[1].initial_pressure = 1e-3;
  const std::string in_pipe = fault_of(vacuum);
  INFO(in_pipe);
  CHECK(contains(in_pipe, "in pipe 'primary 1', 0.0"));
  CHECK(contains(in_pipe, "m from its left end: the temperature "));
  CHECK(contains(in_pipe, "at crank angle"));
  CHECK(contains(in_pipe, "of cycle 1"));
  CHECK(contains(in_pipe, "speed 6000"));

  EngineSpecification tiny = cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.04);
  tiny.junctions[2].volume = 1e-14;
  const std::string in_junction = fault_of(tiny);
  INFO(in_junction);
  CHECK(contains(in_junction, "at junction 'merge 2'"));
  CHECK_FALSE(contains(in_junction, "substeps"));
  CHECK(contains(in_junction, "at crank angle"));

  EngineSpecification freezing = single_cylinder(0.7, 0.02);
  freezing.combustion.heating_value = -43e7;
  const std::string in_cylinder = fault_of(freezing);
  INFO(in_cylinder);
  CHECK(contains(in_cylinder, "in cylinder 1: the temperature falls to "));
  // The charge burns around firing top dead centre.
  const auto at = in_cylinder.find("at crank angle ");
  REQUIRE(at != std::string::npos);
  const double angle = std::stod(in_cylinder.substr(at + 15));
  CHECK((angle > 680 || angle < 60));
}

}  // namespace pulsewright::tests
