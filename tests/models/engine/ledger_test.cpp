// The ledger: signs and denominators by hand, and a network whose flows are known.
#include "models/engine/ledger.hpp"

#include <doctest/doctest.h>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

// Totals of a network of nothing, to be filled by hand.
LedgerTotals empty_totals() {
  return LedgerTotals(
      Network(EngineSpecification{}, constant_gamma_gas(), LimiterChoice::van_leer));
}

}  // namespace

TEST_CASE("ledger: in, source, out, lost, stored and the imbalance, by hand") {
  LedgerTotals before = empty_totals();
  before.outlets = {{10, 1, 100}, {-5, 0, -50}};  // a tail and an inlet, sums since the start
  LedgerTotals after = before;
  after.outlets = {{18, 7, 180}, {-11, 0, -110}};
  after.vented = {2, 0, 20};
  after.fuel = 1;
  after.made_burnt = 9;
  after.heat = 300;
  after.work = 120;
  after.wall_heat = 40;
  after.content = {1, 3, 140};
  const Ledger l = ledger_between(before, after, 2);
  CHECK(l.mass.in == 4);  // (6 through the inlet + 2 by the vent) / 2 cycles
  CHECK(l.mass.source == 0.5);
  CHECK(l.mass.out == 4);
  CHECK(l.mass.stored == 0.5);
  CHECK(l.mass.imbalance == 0);
  CHECK(l.burnt.in == 0);
  CHECK(l.burnt.source == 4.5);
  CHECK(l.burnt.out == 3);
  CHECK(l.burnt.stored == 1.5);
  CHECK(l.burnt.imbalance == 0);
  CHECK(l.energy.in == 40);
  CHECK(l.energy.source == 150);
  CHECK(l.energy.out == 40);
  CHECK(l.energy.lost == 80);
  CHECK(l.energy.stored == 70);
  CHECK(l.energy.imbalance == 0);
  // What is missing counts against in + source.
  after.content.mass -= 0.9;
  CHECK(near(ledger_between(before, after, 2).mass.imbalance, 0.45 / 4.5, 1e-12));
}

TEST_CASE("ledger: a vent that lets gas out counts as an outlet") {
  const LedgerTotals before = empty_totals();
  LedgerTotals after = before;
  after.vented.mass = -3;
  const Ledger l = ledger_between(before, after, 1);
  CHECK(l.mass.in == 0);
  CHECK(l.mass.out == 3);
}

TEST_CASE("ledger: a vessel that empties through pipe, junction and vent keeps its balance") {
  EngineSpecification e;
  e.pipes = {straight_pipe("vessel", 0.5, 0.06, 0.02), straight_pipe("tail", 0.6, 0.04, 0.02)};
  e.pipes[0].initial_pressure = 2e5;
  e.pipes[0].initial_burnt = 1;
  JunctionSpecification joint;
  joint.name = "joint";
  joint.branches = {{{0, Side::right}, {-1, 0, 0}}, {{1, Side::left}, {1, 0, 0}}};
  joint.vent_area = 1e-5;
  e.junctions = {joint};
  e.closed_ends = {{{0, Side::left}}};
  e.open_ends.push_back({{1, Side::right}, 1.0, 0.5, true});
  PipeRig rig(e, solver::air_and_products(1.87));
  const LedgerTotals before(rig.network());
  rig.run_until(0.02);
  const Ledger l = ledger_between(before, LedgerTotals(rig.network()), 1);
  CHECK(l.mass.out > 1e-4);
  CHECK(l.mass.stored < 0);
  for (const LedgerLine& line : {l.mass, l.burnt, l.energy}) {
    const double missing = line.in + line.source - line.out - line.lost - line.stored;
    CHECK(near(missing, 0, 0, 1e-12 * (line.out + std::abs(line.stored))));
  }
}

}  // namespace pulsewright::tests
