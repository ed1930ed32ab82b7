#include "models/engine/ledger.hpp"

#include <cmath>

namespace pulsewright::models {

LedgerTotals::LedgerTotals(const Network& network)
    : content(network.content()), outlets(network.outlets()), vented(network.vented()) {
  const Cylinders& cylinders = network.cylinders();
  for (std::size_t i = 0; i < cylinders.size(); ++i) {
    const CylinderSums s = cylinders.sums(i);
    fuel += s.fuel;
    made_burnt += s.made_burnt;
    heat += s.heat;
    work += s.work;
    wall_heat += s.wall_heat;
  }
  wall_heat -= network.wall_heat();
}

Ledger ledger_between(const LedgerTotals& a, const LedgerTotals& b, double cycles) {
  Ledger ledger;
  const auto flow = [&](LedgerLine& line, double Content::*field) {
    const double vented = b.vented.*field - a.vented.*field;
    (vented >= 0 ? line.in : line.out) += std::abs(vented);
    for (std::size_t i = 0; i < a.outlets.size(); ++i) {
      const double out = b.outlets[i].*field - a.outlets[i].*field;
      const bool outlet = b.outlets[i].mass > a.outlets[i].mass;
      (outlet ? line.out : line.in) += outlet ? out : -out;
    }
  };
  flow(ledger.mass, &Content::mass);
  flow(ledger.burnt, &Content::burnt);
  flow(ledger.energy, &Content::energy);
  ledger.mass.source = b.fuel - a.fuel;
  ledger.burnt.source = b.made_burnt - a.made_burnt;
  ledger.energy.source = b.heat - a.heat;
  ledger.energy.lost = (b.work - a.work) + (b.wall_heat - a.wall_heat);
  ledger.mass.stored = b.content.mass - a.content.mass;
  ledger.burnt.stored = b.content.burnt - a.content.burnt;
  ledger.energy.stored = b.content.energy - a.content.energy;
  for (LedgerLine* line : {&ledger.mass, &ledger.burnt, &ledger.energy}) {
    for (double* value : {&line->in, &line->source, &line->out, &line->lost, &line->stored}) {
      *value /= cycles;
    }
    const double turnover = std::abs(line->in) + line->source;
    line->imbalance = (line->in + line->source - line->out - line->lost - line->stored) / turnover;
  }
  return ledger;
}

}  // namespace pulsewright::models
