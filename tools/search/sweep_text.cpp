#include "tools/search/sweep_text.hpp"

#include <cmath>
#include <fmt/format.h>

#include "cases/design_variable.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/search/value_text.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

std::string axis_name(const SweepAxis& axis) {
  if (axis.kind == SweepKind::band_from) return "band from";
  if (axis.kind == SweepKind::band_to) return "band to";
  return cases::variable_name(axis.variable);
}

std::string place_text(const SearchTask& task, const SweepAxis& axis, double value,
                       UnitSystem units) {
  if (axis.kind != SweepKind::variable) return fmt::format("{:.0f} rpm", 60 * value);
  return value_text(task.space().reference, axis.variable, value, units);
}

// "primary length 32 in, collector tube 3 in OD, 16 ga"
std::string cell_text(const SearchTask& task, const SweepMap& map, const SweepCell& cell,
                      UnitSystem units) {
  std::string text;
  for (std::size_t a = 0; a < map.axes.size(); ++a) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", axis_name(map.axes[a]),
                        place_text(task, map.axes[a], map.axes[a].values[cell.place[a]], units));
  }
  return text;
}

bool is_range(const SweepAxis& axis) {
  return axis.kind != SweepKind::variable || axis.variable.is_length();
}

std::string plateau_sentence(const SearchTask& task, const SweepAxis& axis, const Plateau& plateau,
                             UnitSystem units) {
  const std::string margin = torque_text(plateau_margin, units, units == UnitSystem::inch ? 2 : 0);
  std::string text = fmt::format("{} from {} to {} is within {} of the best.", axis_name(axis),
                                 place_text(task, axis, plateau.from, units),
                                 place_text(task, axis, plateau.to, units), margin);
  if (plateau.open_below || plateau.open_above) {
    text += fmt::format(" It reaches the {} of the range; beyond it was not looked.",
                        plateau.open_below && plateau.open_above ? "ends"
                        : plateau.open_below                     ? "lower end"
                                                                 : "upper end");
  }
  return text;
}

std::string best_sentences(const SearchTask& task, const SweepMap& map, UnitSystem units) {
  if (!map.best) return "No design counts at every speed of the band, so there is no best.";
  const SweepCell& best = map.cells[*map.best];
  const DisplayUnits shown(units);
  std::string text = fmt::format("Best: {}, {} and {:.1f} {} over the band",
                                 cell_text(task, map, best, units), torque_text(best.torque, units),
                                 best.power * shown.power.factor, shown.power.name);
  text += std::isfinite(map.start_torque)
              ? fmt::format("; the header as it is: {}.", torque_text(map.start_torque, units))
              : std::string(".");
  for (std::size_t a = 0; a < map.axes.size(); ++a) {
    if (!is_range(map.axes[a])) continue;
    text += "\n" + plateau_sentence(task, map.axes[a], map.plateaus[a], units);
  }
  if (!map.within) return text;
  const SweepCell& within = map.cells[*map.within];
  const double cost = best.torque - within.torque;
  text += cost > 0 ? fmt::format("\nWithin what fits the car the best is {}: the limit costs {}.",
                                 cell_text(task, map, within, units), torque_text(cost, units))
                   : std::string("\nThe best fits the car: its limits cost nothing.");
  return text;
}

// A table of the mean torque: one axis down, the other across; with one axis torque by speed.
std::string table_text(const SearchTask& task, const SweepMap& map, UnitSystem units) {
  const DisplayUnits shown(units);
  TextTable table;
  const auto number = [&](double value, bool counts) {
    if (!std::isfinite(value)) return std::string("-");
    return fmt::format("{:.1f}{}", value * shown.torque.factor, counts ? "" : "!");
  };
  const SweepAxis& down = map.axes.front();
  std::vector<std::string> head{axis_name(down)};
  const bool two = map.axes.size() == 2;
  if (two) {
    for (const double value : map.axes[1].values) {
      head.push_back(place_text(task, map.axes[1], value, units));
    }
  } else {
    head.insert(head.end(), {"band", fmt::format("{}", shown.power.name)});
    for (const double speed : task.speeds()) head.push_back(fmt::format("{:.0f}", 60 * speed));
  }
  table.row(head);
  table.rule();
  const std::size_t across = two ? map.axes[1].values.size() : 1;
  for (std::size_t i = 0; i < down.values.size(); ++i) {
    std::vector<std::string> row{place_text(task, down, down.values[i], units)};
    for (std::size_t j = 0; j < across; ++j) {
      const std::size_t c = i * across + j;
      const SweepCell& cell = map.cells[c];
      row.push_back(number(cell.torque, cell.counts) + (map.best == c ? "*" : ""));
      if (two) continue;
      row.push_back(
          std::isfinite(cell.power) ? fmt::format("{:.1f}", cell.power * shown.power.factor) : "-");
      for (std::size_t s = 0; s < task.speeds().size(); ++s) {
        row.push_back(number(cell.trial->torque[s], !cell.trial->faults[s]));
      }
    }
    table.row(row);
  }
  return table.text();
}

}  // namespace

nlohmann::json search_json(const SearchTask& task) {
  std::vector<double> rpm;
  for (const double speed : task.speeds()) rpm.push_back(60 * speed);
  const SearchPlan& plan = task.plan();
  return {{"verb", plan.verb},
          {"title", plan.title},
          {"invented", task.case_file().invented},
          {"program_version", plan.program_version},
          {"header", plan.header},
          {"speeds_rpm", rpm},
          {"band_rpm", {60 * plan.band_from, 60 * plan.band_to}},
          {"cell_size", plan.cell_size},
          {"build_tolerance", plan.build_tolerance}};
}

std::string search_heading(const SearchTask& task, std::string_view what, UnitSystem units) {
  const SearchPlan& plan = task.plan();
  const std::string line = fmt::format(
      "{} of {}: {} speeds from {:.0f} to {:.0f} rpm, band {:.0f} to {:.0f} rpm, cells of {}", what,
      plan.header, plan.speeds.size(), 60 * plan.speeds.front(), 60 * plan.speeds.back(),
      60 * plan.band_from, 60 * plan.band_to, length_text(plan.cell_size, units));
  return fmt::format("{}\n{}\n", plan.title, cases::wrapped(line));
}

nlohmann::json sweep_json(const SearchTask& task, const SweepMap& map) {
  nlohmann::json json = search_json(task);
  for (std::size_t a = 0; a < map.axes.size(); ++a) {
    const SweepAxis& axis = map.axes[a];
    const bool band = axis.kind != SweepKind::variable;
    std::vector<std::string> words, inch_words;
    std::vector<double> values;
    for (const double value : axis.values) {
      words.push_back(place_text(task, axis, value, UnitSystem::metric));
      inch_words.push_back(place_text(task, axis, value, UnitSystem::inch));
      values.push_back(band ? 60 * value : value);
    }
    nlohmann::json one{{"name", axis_name(axis)},
                       {"unit", band                        ? "rpm"
                                : axis.variable.is_length() ? "m"
                                                            : "1"},
                       {"values", values},
                       {"metric", words},
                       {"inch", inch_words}};
    if (map.best && is_range(axis)) {
      const Plateau& plateau = map.plateaus[a];
      const double factor = band ? 60 : 1;
      one["plateau"] = {{"from", factor * plateau.from},
                        {"to", factor * plateau.to},
                        {"open_below", plateau.open_below},
                        {"open_above", plateau.open_above}};
    }
    json["axes"].push_back(one);
  }
  for (const SweepCell& cell : map.cells) {
    nlohmann::json by_speed = nlohmann::json::array();
    for (const double torque : cell.trial->torque) by_speed.push_back(number_or_null(torque));
    json["cells"].push_back({{"torque", number_or_null(cell.torque)},
                             {"power", number_or_null(cell.power)},
                             {"counts", cell.counts},
                             {"torque_by_speed", by_speed}});
  }
  json["start_torque"] = number_or_null(map.start_torque);
  json["plateau_margin"] = plateau_margin;
  json["best"] = map.best ? nlohmann::json(*map.best) : nlohmann::json();
  json["best_within"] = map.within ? nlohmann::json(*map.within) : nlohmann::json();
  json["words"] = {{"metric", best_sentences(task, map, UnitSystem::metric)},
                   {"inch", best_sentences(task, map, UnitSystem::inch)}};
  return json;
}

std::string sweep_text(const SearchTask& task, const SweepMap& map, UnitSystem units) {
  std::string text = search_heading(task, "Sweep", units);
  text += fmt::format(
      "\n{}\n\nTorque in {}, {}; * best, ! does not count\n",
      cases::wrapped(best_sentences(task, map, units)), DisplayUnits(units).torque.name,
      map.axes.size() == 2 ? fmt::format("mean over the band; across: {}", axis_name(map.axes[1]))
                           : std::string("mean over the band, and at single speeds (rpm)"));
  return text + table_text(task, map, units);
}

std::string sweep_csv(const SearchTask& task, const SweepMap& map, UnitSystem units) {
  const DisplayUnits shown(units);
  CsvTable csv;
  for (const SweepAxis& axis : map.axes) csv.add(axis_name(axis));
  csv.add(fmt::format("mean torque, {}", shown.torque.name));
  csv.add(fmt::format("mean power, {}", shown.power.name));
  csv.add("counts");
  for (const double speed : task.speeds()) {
    csv.add(fmt::format("torque at {:.0f} rpm, {}", 60 * speed, shown.torque.name));
  }
  csv.end_row();
  const auto number = [](double value) {
    return std::isfinite(value) ? fmt::format("{:.3f}", value) : std::string();
  };
  for (const SweepCell& cell : map.cells) {
    for (std::size_t a = 0; a < map.axes.size(); ++a) {
      csv.add(place_text(task, map.axes[a], map.axes[a].values[cell.place[a]], units));
    }
    csv.add(number(cell.torque * shown.torque.factor));
    csv.add(number(cell.power * shown.power.factor));
    csv.add(cell.counts ? "yes" : "no");
    for (const double torque : cell.trial->torque) csv.add(number(torque * shown.torque.factor));
    csv.end_row();
  }
  return csv.text();
}

}  // namespace pulsewright::tools
