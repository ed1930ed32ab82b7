#include "tools/dyno/what_if_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

std::string percent(std::optional<double> part) {
  return part ? signed_or_dash(100 * *part, 1) : "-";
}

std::string best_text(const ChangeOutcome& outcome, const ChangeOutcome& base,
                      const DisplayUnit& unit, int digits) {
  if (!outcome.best || !base.best) return "-";
  return fmt::format(
      "{:+.{}f} +- {:.{}f}", unit.factor * (outcome.best->shift - base.best->shift), digits,
      unit.factor * std::hypot(outcome.best->resolution, base.best->resolution), digits);
}

// What is said of the best length.
std::string length_sentence(const WhatIf& w, const DisplayUnit& unit, int digits) {
  if (!w.base.best) {
    return fmt::format("{} best length of the primaries {}.",
                       w.length == 0 ? "The" : "Of the case as it is, the", w.base.no_best);
  }
  std::string text = fmt::format(
      "Best length of the primaries over these speeds: {:+.{}f} {} from the {:.{}f} {} that are "
      "built, plus or minus {:.{}f}, from three lengths {:.{}f} {} apart.",
      unit.factor * w.base.best->shift, digits, unit.name, unit.factor * w.length, digits,
      unit.name, unit.factor * w.base.best->resolution, digits, unit.factor * w.length_step, digits,
      unit.name);
  std::vector<std::string> moved;
  for (const ChangeOutcome& c : w.changes) {
    if (!c.best) continue;
    const double shift = c.best->shift - w.base.best->shift;
    if (std::abs(shift) > std::hypot(c.best->resolution, w.base.best->resolution)) {
      moved.push_back(c.words);
    }
  }
  return text + (moved.empty() ? " None of the changes moves it by more than that."
                               : fmt::format(" It moves with {}.", fmt::join(moved, "; ")));
}

json outcome_json(const ChangeOutcome& c) {
  const auto part = [](std::optional<double> value) {
    return value ? json(*value) : json(nullptr);
  };
  json torque = json::array();
  for (const double t : c.torque) torque.push_back(number_or_null(t));
  return {{"change", c.words},
          {"pressure", c.air.pressure},
          {"temperature", c.air.temperature},
          {"vapour_pressure", c.air.vapour_pressure},
          {"torque", torque},
          {"mean_torque", number_or_null(c.mean)},
          {"relative_change", number_or_null(c.change)},
          {"sae_j1349", part(c.sae_j1349)},
          {"iso_1585", part(c.iso_1585)},
          {"sae_j607", part(c.sae_j607)},
          {"standards_hold", c.standards_hold},
          {"best_length_shift", c.best ? json(c.best->shift) : json(nullptr)},
          {"best_length_resolution", c.best ? json(c.best->resolution) : json(nullptr)},
          {"no_best_length", c.no_best},
          {"faults", c.faults}};
}

}  // namespace

std::string what_if_text(const WhatIf& w, UnitSystem system) {
  const DisplayUnits units(system);
  const int digits = system == UnitSystem::inch ? 2 : 0;
  std::string out =
      fmt::format("{}\n{}: mean torque {} {} over {} speeds from {} to {} rpm, coarse cells\n\n",
                  cases::visible(w.title), cases::visible(w.header),
                  number_or_dash(units.torque.factor * w.base.mean, 1), units.torque.name,
                  w.speeds.size(), rpm_text(w.speeds.front()), rpm_text(w.speeds.back()));
  TextTable table;
  table.row({"", "torque", "and power", "J1349", "ISO 1585", "J607", "best length"});
  table.row({"change", std::string(units.torque.name), "%", "%", "%", "%",
             fmt::format("moves, {}", units.length.name)});
  table.rule();
  bool beyond = false;
  for (const ChangeOutcome& c : w.changes) {
    beyond = beyond || !c.standards_hold;
    const std::string mark = c.standards_hold ? "" : "!";
    table.row({c.words, number_or_dash(units.torque.factor * c.mean, 1), percent(c.change),
               percent(c.sae_j1349) + (c.sae_j1349 ? mark : ""),
               percent(c.iso_1585) + (c.iso_1585 ? mark : ""), percent(c.sae_j607),
               best_text(c, w.base, units.length, digits)});
  }
  out += table.text();
  if (beyond) out += "!: the standard does not claim to hold in this air\n";
  out += cases::wrapped(length_sentence(w, units.length, digits)) + "\n";
  for (const ChangeOutcome& c : w.changes) {
    if (!c.no_best.empty() && w.base.best) {
      out += cases::wrapped(fmt::format("{}: the best length {}.", c.words, c.no_best)) + "\n";
    }
  }
  bool fuel = false;
  const auto add_faults = [&](const ChangeOutcome& c) {
    for (const std::string& fault : c.faults) {
      out += cases::wrapped(fmt::format("! {}, {}", c.words, cases::visible(fault)), 2) + "\n";
    }
  };
  add_faults(w.base);
  for (const ChangeOutcome& c : w.changes) {
    add_faults(c);
    fuel = fuel || c.fuel;
  }
  out += cases::wrapped(
      fmt::format("Spark{} and everything else stay as the case has them; a carburettor that runs "
                  "rich at altitude, or knock on a hot day, is not in it.",
                  fuel ? "" : ", mixture"));
  return out;
}

json what_if_json(const WhatIf& w) {
  json speeds = json::array();
  for (const double speed : w.speeds) speeds.push_back(60 * speed);
  json changes = json::array();
  for (const ChangeOutcome& c : w.changes) changes.push_back(outcome_json(c));
  return {{"title", w.title},
          {"header", w.header},
          {"speeds_rpm", speeds},
          {"primary_length", w.length},
          {"length_step", w.length_step},
          {"cell_size", w.cell_size},
          {"base", outcome_json(w.base)},
          {"changes", changes}};
}

std::string what_if_csv(const WhatIf& w, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  CsvTable table;
  for (const std::string& name :
       {std::string("change"), std::string("speed, rpm"), fmt::format("torque, {}", unit.name),
        std::string("of the case as it is, %")}) {
    table.add(name);
  }
  table.end_row();
  const auto rows = [&](const ChangeOutcome& c) {
    for (std::size_t s = 0; s < w.speeds.size(); ++s) {
      table.add(c.words);
      table.add(rpm_text(w.speeds[s]));
      const double torque = unit.factor * c.torque[s];
      const double part = 100 * (c.torque[s] / w.base.torque[s] - 1);
      table.add(std::isfinite(torque) ? fmt::format("{:.2f}", torque) : "");
      table.add(std::isfinite(part) ? fmt::format("{:.2f}", part) : "");
      table.end_row();
    }
  };
  rows(w.base);
  for (const ChangeOutcome& c : w.changes) rows(c);
  return table.text();
}

}  // namespace pulsewright::tools
