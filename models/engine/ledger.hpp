// The ledger of a point: what came in and went out over one or several cycles against what is
// there, for mass, burnt mass and energy.
//
// In: two LedgerTotals of the same network, taken at the ends of cycles. Out: a Ledger
// (figures/point_result.hpp), per cycle. Every flow is counted from the fluxes that moved the gas,
// so with finite volumes the imbalance is round-off.
#pragma once

#include <vector>

#include "models/figures/point_result.hpp"
#include "models/network/network.hpp"

namespace pulsewright::models {

// Sums since the start, which the ledger takes differences of.
struct LedgerTotals {
  Content content;               // of pipes, junctions and cylinders
  std::vector<Content> outlets;  // left by each outlet
  Content vented;                // came in by vents
  double fuel = 0;               // kg
  double made_burnt = 0;         // kg
  double heat = 0;               // J of combustion
  double work = 0;               // J on the pistons
  double wall_heat = 0;          // J from the gas to cylinder and pipe walls

  explicit LedgerTotals(const Network& network);
};

// Between two ends of cycles, per cycle. Means over `cycles` of them. An outlet counts as inlet or
// outlet by the direction of its net mass.
Ledger ledger_between(const LedgerTotals& before, const LedgerTotals& after, double cycles);

}  // namespace pulsewright::models
