// Junctions in unsteady flow: conservation, gas at rest, small waves, symmetry, momentum, losses,
// faults.
#include "models/boundary/junction.hpp"

#include <doctest/doctest.h>

#include "models/sizing/circle.hpp"
#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

constexpr JunctionLaw laws[] = {JunctionLaw::momentum, JunctionLaw::constant_pressure,
                                JunctionLaw::plenum};

PipeEnd left(int pipe) { return {pipe, Side::left}; }
PipeEnd right(int pipe) { return {pipe, Side::right}; }

// Tapered, bent and rough pipes of uneven temperature between two merges: 0 and 1 join in 2, which
// branches into 3 (open) and 4 (closed); merge "b" may have a vent (m2).
EngineSpecification branched(JunctionLaw law, double vent_area) {
  EngineSpecification e;
  const double length[] = {0.4, 0.55, 0.3, 0.6, 0.2};
  for (int i = 0; i < 5; ++i) {
    PipeSpecification pipe = smooth_pipe("pipe " + std::to_string(i), length[i], 0.04, 0.02);
    pipe.profile = {{0, 0.04 + 0.003 * i}, {0.5 * length[i], 0.055}, {length[i], 0.045}};
    pipe.friction = true;
    pipe.roughness = 30e-6;
    pipe.bends = {{0.06, 90}};
    pipe.initial_temperature = 300.0 + 150 * i;
    pipe.initial_burnt = 0.2 * i;
    e.pipes.push_back(pipe);
  }
  JunctionSpecification a;
  a.name = "a";
  a.law = law;
  a.branches = {{right(0), {-1, 0.2, 0}}, {right(1), {-1, -0.2, 0}}, {left(2), {1, 0, 0}}};
  JunctionSpecification b;
  b.name = "b";
  b.law = law;
  b.branches = {{right(2), {-1, 0, 0}}, {left(3), {1, 0.5, 0}}, {left(4), {0, 0, 1}}};
  b.vent_area = vent_area;
  e.junctions = {a, b};
  OpenEndSpecification open;
  open.end = right(3);
  open.entry_loss = 0.5;
  e.open_ends.push_back(open);
  e.closed_ends = {{right(4)}};
  return e;
}

}  // namespace

TEST_CASE("gas at rest stays at rest in a branched network of any law") {
  const auto gas = solver::air_and_products(1.87);
  for (const auto law : laws) {
    for (const double vent : {0.0, 1e-5}) {
      EngineSpecification e = branched(law, vent);
      e.closed_ends.push_back({left(0)});
      e.closed_ends.push_back({left(1)});
      PipeRig rig(e, gas);
      for (int i = 0; i < 2000; ++i) rig.step(rig.network().stable_step(0.8));
      double fastest = 0;
      double off = 0;
      for (std::size_t i = 0; i < 5; ++i) {
        const auto& d = rig.pipe(i);
        for (std::size_t c = 0; c < d.cells(); ++c) {
          fastest = std::max(fastest, std::abs(d.state(c).u));
          off = std::max(off, std::abs(d.state(c).p / p_atm - 1));
        }
      }
      // Round-off of p is 1e-11 Pa, of u = dp / (rho c) about 1e-13 m/s.
      if (vent == 0) {
        CHECK(fastest < 1e-10);
        CHECK(off < 1e-12);
      } else {
        // The flow of a nozzle is the square root of a round-off of pressure.
        CHECK(off * p_atm < 0.02);
      }
    }
  }
}

TEST_CASE("mass, burnt mass and energy are kept at every connection") {
  const auto gas = solver::air_and_products(1.87);
  for (const auto law : laws) {
    const auto valve = [](const PipeEnd& end, double opens) {
      return OrificeEndSpecification{
          end,
          [](double) {
            return GasState{3e5, 1400, 1};
          },
          [opens](double t) { return std::max(0.0, 0.6 * std::sin(600 * (t - opens))); }};
    };
    EngineSpecification e = branched(law, 1e-5);
    e.orifice_ends = {valve(left(0), 0), valve(left(1), 2e-3)};
    PipeRig rig(e, gas);
    const Content before = rig.network().content();
    rig.run_until(0.03);
    const Content after = rig.network().content();
    const auto& net = rig.network();
    const Content out = net.open_ends()[0].outflow();
    const auto& merge = net.junctions()[1];
    CHECK(rig.taken().mass > 0.3 * before.mass);
    CHECK(out.mass > 0.3 * before.mass);
    CHECK(merge.vented().mass != 0);
    CHECK(near(after.mass - before.mass, rig.taken().mass - out.mass + merge.vented().mass, 0,
               1e-12 * before.mass));
    CHECK(near(after.burnt - before.burnt, rig.taken().burnt - out.burnt + merge.vented().burnt, 0,
               1e-12 * before.mass));
    CHECK(near(after.energy - before.energy,
               rig.taken().energy - out.energy + merge.vented().energy, 0, 1e-12 * before.energy));
    CHECK(net.first_order_fallbacks() == 0);
  }
}

TEST_CASE("equal tubes of a merge are given equal fluxes") {
  const auto gas = constant_gamma_gas(1.33, 290);
  for (const auto law : laws) {
    JunctionSpecification spec;
    spec.name = "merge";
    spec.law = law;
    spec.branches = {{{}, {-1, 0.2, 0}}, {{}, {-1, -0.2, 0}}, {{}, {-1, 0, 0.2}}, {{}, {1, 0, 0}}};
    Junction junction(spec, {1e-3, 1e-3, 1e-3, 3e-3}, {});
    OrificeBatch orifices;
    junction.fill(gas, 1.1e5, 800, 0.5);
    const solver::Primitive<double> in{1.2e5 / (290 * 900), -120, 1.2e5, 1};
    const solver::Primitive<double> idle{1e5 / (290 * 700), 0, 1e5, 1};
    const solver::Primitive<double> out{1e5 / (290 * 800), 60, 1e5, 1};
    const std::vector<PipeEndState> ends{{in}, {in}, {idle}, {out}};
    for (int i = 0; i < 20; ++i) {
      solve_alone(junction, {gas, 1e-5, 0}, ends, orifices);
      const EndFlux<double>& a = junction.flux(0);
      const EndFlux<double>& b = junction.flux(1);
      CHECK(near(a.mass, b.mass, 1e-13));
      CHECK(near(a.momentum, b.momentum, 1e-13));
      CHECK(near(a.energy, b.energy, 1e-13));
    }
    CHECK(near(junction.volume_content().momentum[1], 0, 0, 1e-15));
  }
}

TEST_CASE("the volume takes its default from the largest pipe") {
  JunctionSpecification spec;
  spec.name = "merge";
  spec.branches.resize(2);
  // Largest area times half its diameter; with the momentum law the part of it that the jets need.
  const double full = 2e-3 * 0.5 * models::circle_diameter(2e-3);
  for (const auto law : laws) {
    spec.law = law;
    const double part = law == JunctionLaw::momentum ? JunctionConstants{}.volume : 1.0;
    CHECK(near(Junction(spec, {1e-3, 2e-3}, {}).volume(), part * full, 1e-14));
  }
  spec.volume = 1e-4;
  CHECK(Junction(spec, {1e-3, 2e-3}, {}).volume() == 1e-4);
}

namespace {

// Steps a junction between frozen pipe ends until it does not change.
void settle(Junction& junction, const solver::Gas& gas, const std::vector<PipeEndState>& ends) {
  OrificeBatch orifices;
  for (int i = 0; i < 4000; ++i) solve_alone(junction, {gas, 1e-5, 0}, ends, orifices);
}

}  // namespace

TEST_CASE("the momentum law keeps momentum along the axis where one pipe is fed") {
  const auto gas = constant_gamma_gas(1.35, 287);
  // A jet from one of two inclined tubes beside an idle one, into a collector of their area.
  const double sine = std::sin(0.2);
  const double cosine = std::cos(0.2);
  JunctionSpecification spec;
  spec.name = "merge";
  spec.branches = {{{}, {-cosine, sine, 0}}, {{}, {-cosine, -sine, 0}}, {{}, {1, 0, 0}}};
  const std::vector<double> areas{1e-3, 1e-3, 2e-3};
  Junction junction(spec, areas, {});
  junction.fill(gas, 1.05e5, 800, 0);
  const solver::Primitive<double> jet{1.2e5 / (287 * 850), -90, 1.2e5, 0};
  const solver::Primitive<double> idle{1.06e5 / (287 * 800), 0, 1.06e5, 0};
  const solver::Primitive<double> out{1.03e5 / (287 * 800), 40, 1.03e5, 0};
  const std::vector<PipeEndState> ends{{jet}, {idle}, {out}};
  settle(junction, gas, ends);
  const JunctionState s = junction.state(gas);
  double mass = 0;
  double force = 0;  // along the axis, N: what the inflow brings beyond the pressure of the merge
  for (std::size_t k = 0; k < 2; ++k) {
    const EndFlux<double>& f = junction.flux(k);
    mass -= areas[k] * f.mass;
    if (f.mass < 0) force += areas[k] * f.mass * f.v * cosine;
  }
  const EndFlux<double>& collector = junction.flux(2);
  CHECK(collector.mass > 0);
  CHECK(near(areas[2] * collector.mass, mass, 1e-9));
  if (junction.flux(1).mass <= 0) {
    // v < w: the loss of a sudden enlargement, the balance of momentum.
    CHECK(near(areas[2] * (collector.momentum - s.p), force, 2e-3, 1e-3));
  }
}

TEST_CASE("gas drawn back round the crotch loses total pressure, drawn straight back it does not") {
  const auto gas = constant_gamma_gas(1.35, 287);
  const auto loss = [&](bool from_tube) {
    JunctionSpecification spec;
    spec.name = "merge";
    spec.branches = {{{}, {-0.98, 0.199, 0}}, {{}, {-0.98, -0.199, 0}}, {{}, {1, 0, 0}}};
    Junction junction(spec, {1e-3, 1e-3, 1e-3}, {});
    junction.fill(gas, 1e5, 800, 0);
    const double rho = 1e5 / (287 * 800);
    const solver::Primitive<double> feeds{rho, -60, 1e5, 0};
    const solver::Primitive<double> rest{rho, 0, 1e5, 0};
    const solver::Primitive<double> draws{0.9 * rho, 60, 0.9e5, 0};
    const std::vector<PipeEndState> ends{
        {draws}, {from_tube ? feeds : rest}, {from_tube ? rest : feeds}};
    settle(junction, gas, ends);
    const EndFlux<double>& f = junction.flux(0);
    const double head = 0.5 * f.mass * f.v;
    REQUIRE(f.mass > 0);
    return (junction.state(gas).p - f.p - head) / head;
  };
  // turning_loss x cos(23 deg) x share of the gas that comes from the other tube, in heads.
  CHECK(loss(true) > 0.5);
  CHECK(loss(true) - loss(false) > 0.4);
}

TEST_CASE("a junction may start from one with another number of pipes") {
  const auto gas = constant_gamma_gas(1.35, 287);
  const double rho = 1.1e5 / (287 * 800);
  const solver::Primitive<double> jet{rho, -120, 1.1e5, 0};
  const solver::Primitive<double> rest{rho, 0, 1e5, 0};
  JunctionSpecification spec;
  spec.name = "merge";
  spec.branches = {{{}, {-0.98, 0.199, 0}}, {{}, {-0.98, -0.199, 0}}, {{}, {1, 0, 0}}};
  Junction whole(spec, {1e-3, 1e-3, 1.5e-3}, {});
  whole.fill(gas, 1e5, 800, 0);
  settle(whole, gas, {{jet}, {rest}, {rest}});
  spec.branches.erase(spec.branches.begin() + 1);
  Junction part(spec, {1e-3, 1.5e-3}, {});
  part.fill(gas, 1e5, 800, 0);
  part.start_from(whole);
  CHECK(part.volume_content().mass == whole.volume_content().mass);
  settle(part, gas, {{jet}, {rest}});
  CHECK(part.flux(0).mass < 0);
  CHECK(near(1e-3 * part.flux(0).mass, -1.5e-3 * part.flux(1).mass, 1e-6));
}

TEST_CASE("weak and strong coupling lie on either side of the fitted constants") {
  for (const JunctionConstant& c : junction_constants) {
    CAPTURE(std::string(c.name));
    const double fitted = JunctionConstants{}.*c.value;
    CHECK((c.weak - fitted) * (c.strong - fitted) < 0);
    CHECK(constants_of(MergeCoupling::weak).*c.value == c.weak);
    CHECK(constants_of(MergeCoupling::strong).*c.value == c.strong);
    CHECK(constants_of(MergeCoupling::fitted).*c.value == fitted);
    CHECK_FALSE(c.source.empty());
  }
}

TEST_CASE("what makes no junction is refused, what can not be computed is a fault") {
  JunctionSpecification spec;
  spec.name = "merge of nothing";
  CHECK_THROWS_AS(Junction(spec, {}, {}), std::invalid_argument);
  spec.branches.resize(2);
  CHECK_THROWS_AS(Junction(spec, {1e-3}, {}), std::invalid_argument);

  const auto gas = constant_gamma_gas();
  spec.volume = 1e-15;
  Junction junction(spec, {1e-3, 1e-3}, {});
  OrificeBatch orifices;
  junction.fill(gas, 1e5, 300, 0);
  const solver::Primitive<double> w{1e5 / (287.05 * 300), 50, 1e5, 0};
  try {
    const std::vector<PipeEndState> ends{{w}, {{w.rho, -w.u, w.p, w.Y}}};
    solve_alone(junction, {gas, 1e-5, 0}, ends, orifices);
    FAIL("a volume of 1 mm3 / 1e6 was stepped");
  } catch (const solver::Fault& fault) {
    CHECK(fault.part() == "merge of nothing");
    CHECK(std::string(fault.what()).find("substeps") != std::string::npos);
  }
}

}  // namespace pulsewright::tests
