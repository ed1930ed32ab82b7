// What holds for every boundary, through the one interface.
#include "models/boundary/boundary.hpp"

#include <doctest/doctest.h>
#include <functional>
#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "models/boundary/anechoic_end.hpp"
#include "models/boundary/closed_end.hpp"
#include "models/boundary/junction.hpp"
#include "models/boundary/open_end.hpp"
#include "models/boundary/orifice_end.hpp"
#include "models/boundary/perforate.hpp"
#include "models/boundary/prescribed_end.hpp"
#include "models/boundary/valve.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

constexpr double p_out = 101325;
constexpr double T_out = 293.15;
constexpr double area = 1.2e-3;

const solver::Gas& gas() {
  static const solver::Gas the_gas = solver::air_and_products(1.87);
  return the_gas;
}

PipeEndState end_state(double p, double T, double u, double Y = 0) {
  const solver::Primitive<double> w{p / (gas().gas_constant(Y) * T), u, p, Y};
  return {w, area, w, T};
}

// The fluxes of one step of a boundary, with its ends in the given states.
using Fluxes =
    std::function<std::vector<EndFlux<double>>(const std::vector<PipeEndState>&, double dt)>;

struct Named {
  std::string name;
  std::size_t ends;
  Fluxes fluxes;
};

template <Boundary T>
Named named(std::string name, T boundary) {
  const std::size_t n = boundary.ends().size();
  return {std::move(name), n, [boundary](const std::vector<PipeEndState>& states, double dt) {
            T copy = boundary;  // a boundary is a value: the one that was built stays as it is
            OrificeBatch orifices;
            solve_alone(copy, {gas(), dt, 0.5 * dt}, states, orifices);
            std::vector<EndFlux<double>> fluxes;
            for (std::size_t k = 0; k < states.size(); ++k) fluxes.push_back(copy.flux(k));
            return fluxes;
          }};
}

// One of every kind, with gas at rest at ambient state behind it.
std::vector<Named> all_boundaries() {
  const PipeEndState rest = end_state(p_out, T_out, 0);
  const std::vector<PipeEndState> one{rest};
  const std::vector<PipeEndState> three(3, rest);
  const BoundarySetup setup{gas(), {p_out, T_out}, one};
  const BoundarySetup setup_of_three{gas(), {p_out, T_out}, three};
  const PipeEnd end{0, Side::left};
  const auto still = [](double) { return GasState{p_out, T_out, 0}; };
  std::vector<Named> all;
  all.push_back(named("closed", ClosedEnd({end}, setup)));
  all.push_back(named("anechoic", AnechoicEnd({end}, setup)));
  for (const bool corrected : {false, true}) {
    OpenEndSpecification open;
    open.end = end;
    open.entry_loss = 0.5;
    open.effective_area_ratio = corrected ? 1.0 : 0.6;
    open.end_correction = corrected;
    all.push_back(named(corrected ? "open" : "orifice plate", OpenEnd(open, setup)));
  }
  all.push_back(named("orifice", OrificeEnd({end, still, [](double) { return 0.4; }}, setup)));
  for (const auto quantity : {PrescribedQuantity::static_pressure, PrescribedQuantity::wave}) {
    all.push_back(
        named("prescribed pressure",
              PrescribedEnd({end, quantity, [](double) { return p_out; }, T_out}, setup)));
  }
  all.push_back(named("prescribed mass flow", PrescribedEnd({end, PrescribedQuantity::mass_flow,
                                                             [](double) { return 0.0; }, T_out},
                                                            setup)));
  Valve valve(
      {"cylinder 1", end, ValveKind::exhaust,
       std::make_shared<const PoppetValve>(validation::engine_without_pipes().exhaust_valve)},
      setup);
  valve.set_cylinder(0.006, {p_out, gas().enthalpy(T_out, 0.0), 0.0});
  all.push_back(named("valve", valve));
  for (const auto law :
       {JunctionLaw::momentum, JunctionLaw::constant_pressure, JunctionLaw::plenum}) {
    JunctionSpecification spec;
    spec.name = "merge";
    spec.law = law;
    spec.branches = {{end, {-1, 0.2, 0}}, {end, {-1, -0.2, 0}}, {end, {1, 0, 0}}};
    all.push_back(named("junction", Junction(spec, setup_of_three)));
  }
  JunctionSpecification vessel;
  vessel.name = "plenum";
  vessel.law = JunctionLaw::plenum;
  vessel.branches = {{end, {1, 0, 0}, 0.5, 0.4}, {end, {1, 0, 0}}, {end, {1, 0, 0}}};
  all.push_back(named("throttle", Junction(vessel, setup_of_three)));
  PerforateSpecification holes;
  holes.core.name = "core";
  holes.space.name = "space";
  holes.core.branches = holes.space.branches = {{end, {-1, 0, 0}}, {end, {1, 0, 0}}};
  holes.hole_area = 2e-3;
  holes.hole_length = 4e-3;
  const std::vector<PipeEndState> four(4, rest);
  all.push_back(named("perforate", Perforate(holes, {gas(), {p_out, T_out}, four})));
  return all;
}

}  // namespace

TEST_CASE("boundaries: gas at rest stays at rest at every one of them") {
  for (const Named& boundary : all_boundaries()) {
    CAPTURE(boundary.name);
    const std::vector<PipeEndState> rest(boundary.ends, end_state(p_out, T_out, 0));
    for (const EndFlux<double>& f : boundary.fluxes(rest, 1e-5)) {
      // Round-off of the pressure over rho c.
      CHECK(std::abs(f.v) < 1e-10);
      CHECK(std::abs(f.mass) < 1e-10);
      CHECK(std::abs(f.energy) < 1e-4);  // 3e5 J/kg times that
      CHECK(near(f.p, p_out, 1e-13));
      CHECK(near(f.momentum, p_out, 1e-13));
    }
  }
}

TEST_CASE("boundaries: momentum, energy and burnt mass go with the mass that passes") {
  for (const Named& boundary : all_boundaries()) {
    CAPTURE(boundary.name);
    for (const double p : {0.7e5, 0.98e5, 1.06e5, 1.8e5}) {
      for (const double u : {-60.0, 0.0, 40.0}) {
        const std::vector<PipeEndState> states(boundary.ends, end_state(p, 600, u, 0.5));
        for (const EndFlux<double>& f : boundary.fluxes(states, 1e-6)) {
          CAPTURE(p);
          CAPTURE(u);
          // The step is short, so that a junction takes it in one substep.
          CHECK(near(f.momentum, f.mass * f.v + f.p, 1e-10));
          CHECK(f.mass * f.v >= 0);
          if (f.mass < 0) {
            // The pipe's own gas: composition, and the stagnation enthalpy of gas of that
            // temperature at the end.
            const double T = f.p * f.v / (f.mass * gas().gas_constant(0.5));
            CHECK(near(f.burnt, 0.5 * f.mass, 1e-10));
            CHECK(near(f.energy, f.mass * (gas().enthalpy(T, 0.5) + 0.5 * f.v * f.v), 1e-10));
          } else if (f.mass > 0) {
            const double Y = f.burnt / f.mass;
            CHECK(Y >= 0);
            CHECK(Y <= 0.5 + 1e-12);
            // Mach 1 at most.
            const double T =
                gas().temperature_from_enthalpy(f.energy / f.mass - 0.5 * f.v * f.v, Y);
            CHECK(f.v <= gas().sound_speed(T, Y) * (1 + 1e-6));
          }
        }
      }
    }
  }
}

TEST_CASE("boundaries: a copy goes on by itself") {
  const PipeEndState rest = end_state(p_out, T_out, 0);
  const std::vector<PipeEndState> one{rest};
  OpenEndSpecification open;
  open.end = {0, Side::left};
  OpenEnd first(open, {gas(), {p_out, T_out}, one});
  OrificeBatch orifices;
  const std::vector<PipeEndState> pulse{end_state(1.3e5, 500, -100, 1)};
  solve_alone(first, {gas(), 1e-5, 0}, pulse, orifices);
  OpenEnd second = first;
  OpenEnd fresh(open, {gas(), {p_out, T_out}, one});
  fresh.start_from(first);
  // The air outside is in motion in the copies too.
  for (int i = 0; i < 5; ++i) {
    for (OpenEnd* end : {&first, &second, &fresh}) {
      OrificeBatch own;
      solve_alone(*end, {gas(), 1e-5, 0}, pulse, own);
    }
    CHECK(second.flux(0).p == first.flux(0).p);
    CHECK(fresh.flux(0).p == first.flux(0).p);
  }
  CHECK(second.outflow().mass == first.outflow().mass);
  CHECK(fresh.outflow().mass < first.outflow().mass);  // sums are not taken over
}

TEST_CASE("boundaries: a copy of a junction goes on by itself") {
  const std::vector<PipeEndState> rest(3, end_state(p_out, T_out, 0));
  const std::vector<PipeEndState> pulse{end_state(1.3e5, 500, -100, 1), rest[1], rest[2]};
  JunctionSpecification spec;
  spec.name = "merge";
  const PipeEnd end{0, Side::left};
  spec.branches = {{end, {-1, 0.2, 0}}, {end, {-1, -0.2, 0}}, {end, {1, 0, 0}}};
  const BoundaryStep step{gas(), 1e-6, 0};
  Junction first(spec, {gas(), {p_out, T_out}, rest});
  OrificeBatch orifices;
  solve_alone(first, step, pulse, orifices);
  Junction copy = first;
  const JunctionContent kept = first.volume_content();
  for (int i = 0; i < 5; ++i) {
    OrificeBatch own;
    solve_alone(first, step, pulse, own);
  }
  CHECK(first.volume_content().mass != kept.mass);
  CHECK(copy.volume_content().mass == kept.mass);
  for (int i = 0; i < 5; ++i) {
    OrificeBatch own;
    solve_alone(copy, step, pulse, own);
  }
  CHECK(copy.volume_content().mass == first.volume_content().mass);
  CHECK(copy.volume_content().energy == first.volume_content().energy);
  for (std::size_t k = 0; k < 3; ++k) CHECK(copy.flux(k).mass == first.flux(k).mass);
}

TEST_CASE("orifice end: the flux of its orifice, choked in both directions too") {
  const PipeEndState rest = end_state(p_out, T_out, 0);
  const std::vector<PipeEndState> one{rest};
  for (const double p : {0.2e5, 0.9e5, 1.2e5, 6e5}) {
    for (const double phi : {0.0, 0.3, 1.0}) {
      CAPTURE(p);
      CAPTURE(phi);
      OrificeEnd end({{0, Side::left},
                      [=](double) {
                        return GasState{p, 700, 0.4};
                      },
                      [=](double) { return phi; }},
                     {gas(), {p_out, T_out}, one});
      OrificeBatch orifices;
      solve_alone(end, {gas(), 1e-6, 0}, one, orifices);
      const solver::EndWave<double> wave(gas(), rest.predicted, 1.0);
      const Reservoir<double> reservoir{p, gas().enthalpy(700.0, 0.4), 0.4};
      const auto f = flow_through_orifice(gas(), wave, reservoir, phi, phi);
      const auto& g = end.flux(0);
      CHECK(near(g.mass, f.mass, 1e-10));
      CHECK(near(g.energy, f.energy, 1e-10));
      CHECK(near(g.p, f.p, 1e-10));
      CHECK(g.mass * (p - p_out) >= 0);
      CHECK((phi == 0) == (g.mass == 0));
      if (phi == 0.3 && p > 5e5) {
        // Choked: the nozzle's greatest mass flux, whatever the pressure at the end.
        CHECK(near(g.mass, phi * Supply<double>(gas(), reservoir).choked, 1e-10));
      }
      if (phi == 1.0 && p < 0.3e5) {
        const double T = g.p * g.v / (g.mass * gas().gas_constant(0.0));
        // Mach 1; the wave holds gamma at its state in the pipe.
        CHECK(near(g.v, -std::sqrt(wave.gamma * gas().gas_constant(0.0) * T), 1e-9));
      }
    }
  }
}

TEST_CASE("courses in time: what no gas has is a fault with the name of the end") {
  const std::vector<PipeEndState> one{end_state(p_out, T_out, 0)};
  BoundarySetup setup{gas(), {p_out, T_out}, one};
  setup.name = "left end of pipe tail";
  const auto check_fault = [&](auto end, const std::string& quantity) {
    OrificeBatch orifices;
    try {
      solve_alone(end, {gas(), 1e-6, 0}, one, orifices);
      FAIL("was accepted");
    } catch (const solver::Fault& fault) {
      CHECK(fault.part() == "left end of pipe tail");
      CHECK(std::string(fault.what()).find(quantity) != std::string::npos);
    }
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  const auto orifice = [&](const GasState& state, double phi) {
    return OrificeEnd({{0, Side::left}, [=](double) { return state; }, [=](double) { return phi; }},
                      setup);
  };
  const GasState still{p_out, T_out, 0};
  for (const double phi : {nan, -0.1, 1.5, 2.0}) check_fault(orifice(still, phi), "area ratio");
  for (const double p : {nan, -1.0, 0.0, infinite}) {
    check_fault(orifice({p, T_out, 0}, 0.5), "pressure");
  }
  for (const double T : {nan, -1.0, 0.0, infinite}) {
    check_fault(orifice({p_out, T, 0}, 0.5), "temperature");
  }
  for (const double Y : {nan, -0.1, 1.5, 2.0})
    check_fault(orifice({p_out, T_out, Y}, 0.5), "burnt");

  const auto prescribed = [&](PrescribedQuantity quantity, double value) {
    return PrescribedEnd({{0, Side::left}, quantity, [=](double) { return value; }, T_out}, setup);
  };
  for (const double p : {nan, -0.1, 0.0, infinite}) {
    check_fault(prescribed(PrescribedQuantity::static_pressure, p), "pressure");
    check_fault(prescribed(PrescribedQuantity::wave, p), "pressure");
  }
  for (const double m : {nan, infinite, -infinite}) {
    check_fault(prescribed(PrescribedQuantity::mass_flow, m), "mass flow");
  }
  const auto constant = [&](double T, double Y) {
    return PrescribedEnd(
        {{0, Side::left}, PrescribedQuantity::static_pressure, [](double) { return p_out; }, T, Y},
        setup);
  };
  for (const double T : {nan, -1.0, 0.0, infinite}) {
    CHECK_THROWS_AS(constant(T, 0), std::invalid_argument);
  }
  for (const double Y : {nan, -0.1, 1.5, 2.0}) {
    CHECK_THROWS_AS(constant(T_out, Y), std::invalid_argument);
  }
}

TEST_CASE("boundaries: one without a solution is a fault with its name") {
  const std::vector<PipeEndState> rest(2, end_state(p_out, T_out, 0));
  const auto part_of_fault = [&](auto boundary, const std::vector<PipeEndState>& ends) {
    OrificeBatch orifices;
    try {
      solve_alone(boundary, {gas(), 1e-9, 0}, ends, orifices);
    } catch (const solver::Fault& fault) {
      CHECK(std::string(fault.what()).find("no solution") != std::string::npos);
      return fault.part();
    }
    return std::string("no fault");
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<PipeEndState> one{rest[0]};
  Valve valve(
      {"cylinder 3",
       {0, Side::left},
       ValveKind::intake,
       std::make_shared<const PoppetValve>(validation::engine_without_pipes().exhaust_valve)},
      {gas(), {p_out, T_out}, one});
  valve.set_cylinder(0.006, {nan, gas().enthalpy(T_out, 0.0), 0.0});
  CHECK(part_of_fault(valve, one) == "intake valve of cylinder 3");

  JunctionSpecification spec;
  spec.name = "joint";
  spec.law = JunctionLaw::plenum;
  spec.branches = {{{0, Side::left}, {-1, 0, 0}}, {{1, Side::left}, {1, 0, 0}}};
  Junction junction(spec, {gas(), {p_out, T_out}, rest});
  OrificeBatch failed;  // in place of the orifices that the junction asks for
  junction.begin_step({gas(), 1e-9, 0}, rest);
  REQUIRE(junction.request(failed, 0));
  failed.clear();
  for (const std::size_t k : {0u, 1u}) {
    failed.add(k, rest[k].predicted, 1.0, {nan, gas().enthalpy(T_out, 0.0), 0.0}, 1.0, 1.0);
  }
  failed.solve(gas());
  try {
    junction.apply(failed, 0);
    FAIL("was accepted");
  } catch (const solver::Fault& fault) {
    CHECK(fault.part() == "joint");
  }
}

TEST_CASE("valves: forward and reverse become into and out of the pipe") {
  auto spec = validation::engine_without_pipes().exhaust_valve;
  for (double& a : spec.reverse.area) a *= 0.5;
  const std::vector<PipeEndState> one{end_state(p_out, T_out, 0)};
  const BoundarySetup setup{gas(), {p_out, T_out}, one};
  const auto mass_through = [&](ValveKind kind, double p_cylinder) {
    Valve valve({"cylinder 1", {0, Side::left}, kind, std::make_shared<const PoppetValve>(spec)},
                setup);
    valve.set_cylinder(0.0004, {p_cylinder, gas().enthalpy(T_out, 0.0), 0.0});
    OrificeBatch orifices;
    solve_alone(valve, {gas(), 1e-6, 0}, one, orifices);
    return valve.flux(0).mass;
  };
  // A small lift: the pipe hardly resists and the flow goes with the effective area. Out of the
  // cylinder is forward at an exhaust valve and reverse at an intake valve.
  const double rise = 1.2 * p_out;
  const double fall = 0.8 * p_out;
  CHECK(mass_through(ValveKind::exhaust, rise) > 0);
  CHECK(mass_through(ValveKind::exhaust, fall) < 0);
  CHECK(mass_through(ValveKind::exhaust, rise) > 1.5 * mass_through(ValveKind::intake, rise));
  CHECK(mass_through(ValveKind::intake, fall) < 1.5 * mass_through(ValveKind::exhaust, fall));
}

}  // namespace pulsewright::tests
