#include "tools/search/tolerance_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "cases/design_variable.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/search/sweep_text.hpp"
#include "tools/search/value_text.hpp"
#include "tools/study/comparison_words.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"
#include "tools/study/verdict.hpp"

namespace pulsewright::tools {

namespace {

constexpr double hardly = 1;  // N m at most at any speed: named as what need not be exact

struct TorqueChange {
  std::string what;  // "per 1/2 in", "to 2 in OD, 16 ga"
  const std::vector<double>* by_speed;
  double band;
};

std::string half_inch_text(UnitSystem units) {
  return units == UnitSystem::inch ? "1/2 in" : "12.7 mm";
}

// What is told of a dimension: one change of a length, one or two of a size.
std::vector<TorqueChange> changes_of(const SearchTask& task, const Sensitivity& one,
                                     UnitSystem units) {
  const auto& variable = task.space().variables[one.variable];
  if (variable.is_length()) return {{"per " + half_inch_text(units), &one.up, one.band_up}};
  std::vector<TorqueChange> changes;
  const double here = cases::variable_value(task.space().reference, variable);
  const auto add = [&](double place, const std::vector<double>& by_speed, double band) {
    if (place < variable.least() || place > variable.greatest()) return;
    changes.push_back(
        {"to " + value_text(task.space().reference, variable, place, units), &by_speed, band});
  };
  add(here + 1, one.up, one.band_up);
  add(here - 1, one.down, one.band_down);
  return changes;
}

std::string name_of(const SearchTask& task, const Sensitivity& one) {
  return cases::variable_name(task.space().variables[one.variable]);
}

bool is_length(const SearchTask& task, const Sensitivity& one) {
  return task.space().variables[one.variable].is_length();
}

std::string largest_sentence(const SearchTask& task, const Tolerance& tolerance, UnitSystem units) {
  std::vector<std::string> effects;
  for (const Sensitivity& one : tolerance.dimensions) {
    if (effects.size() == 3 || !(one.largest > 0)) break;  // the largest come first
    effects.push_back(
        fmt::format("{}: {}{} at {:.0f} rpm", name_of(task, one), torque_text(one.largest, units),
                    is_length(task, one) ? " per " + half_inch_text(units) : " per stock size",
                    60 * one.largest_speed));
  }
  if (effects.empty()) return {};
  return fmt::format("Largest effects in the band: {}.", fmt::join(effects, "; "));
}

// Names of the lengths that are known, and of which something is so.
template <class Test>
std::vector<std::string> known_lengths(const SearchTask& task, const Tolerance& tolerance,
                                       const Test& test) {
  std::vector<std::string> names;
  for (const Sensitivity& one : tolerance.dimensions) {
    if (is_length(task, one) && one.known && test(one)) names.push_back(name_of(task, one));
  }
  return names;
}

// Which lengths must be exact, known in the whole band or not, and which need not. Empty where no
// length is known.
std::string exact_sentence(const SearchTask& task, const Tolerance& tolerance, UnitSystem units) {
  std::vector<std::string> exact;
  for (const Sensitivity& one : tolerance.dimensions) {
    if (one.exact) exact.push_back(name_of(task, one));
  }
  const auto free =
      known_lengths(task, tolerance, [](const Sensitivity& one) { return !one.exact; });
  const double built = task.space().build_tolerance;
  if (!(built > 0) || (exact.empty() && free.empty())) return {};
  const bool all_known =
      std::all_of(tolerance.dimensions.begin(), tolerance.dimensions.end(),
                  [&](const Sensitivity& one) { return one.known || !is_length(task, one); });
  const std::string none = all_known ? "no single length" : "no length that is known";
  std::string text = fmt::format(
      "\nWithin a build tolerance of {} {} {} torque at some speed by more than a dynamometer "
      "repeats ({:g} %){}.",
      length_text(built, units), exact.empty() ? none : enumeration(exact),
      exact.size() > 1 ? "move" : "moves", 100 * dynamometer_repeatability,
      exact.empty()       ? ""
      : exact.size() == 1 ? "; it must be exact"
                          : "; they must be exact");
  if (!exact.empty() && !free.empty()) text += fmt::format(" {} need not.", enumeration(free));
  return text;
}

std::string spread_sentence(const Tolerance& tolerance, UnitSystem units) {
  const ToleranceSpread& spread = *tolerance.spread;
  const DisplayUnit unit = DisplayUnits(units).torque;
  const auto deviation = [&](double value) {
    return std::isfinite(value) ? torque_text(value, units, 2) : std::string("not known");
  };
  std::string text = fmt::format(
      "\nThe finished header: mean torque over the band {}, standard deviation {} by the slopes "
      "and {} in a sample of {} headers",
      std::isfinite(tolerance.band_torque) ? torque_text(tolerance.band_torque, units)
                                           : std::string("not known"),
      deviation(spread.band_linear), deviation(spread.band_sampled), spread.samples);
  if (!std::isfinite(spread.lowest)) return text + ".";
  return text + fmt::format(", which lie from {:+.2f} to {:+.2f} {} of it.",
                            spread.lowest * unit.factor, spread.highest * unit.factor, unit.name);
}

// The largest effect first, then which lengths must be exact and which need not, and what is not
// known.
std::string sentences(const SearchTask& task, const Tolerance& tolerance, UnitSystem units) {
  std::string text = largest_sentence(task, tolerance, units);
  text += exact_sentence(task, tolerance, units);
  const auto hardly_any =
      known_lengths(task, tolerance, [](const Sensitivity& one) { return one.largest < hardly; });
  if (!hardly_any.empty()) {
    text += fmt::format("\nWorth less than {} per {} at any speed of the band: {}.",
                        torque_text(hardly, units), half_inch_text(units), enumeration(hardly_any));
  }
  std::vector<std::string> unknown;
  for (const Sensitivity& one : tolerance.dimensions) {
    if (!one.known) unknown.push_back(name_of(task, one));
  }
  if (!unknown.empty()) {
    text += fmt::format(
        "\nNot known for {}: a point of the header or of its neighbours does not count.",
        enumeration(unknown));
  }
  if (tolerance.spread) text += spread_sentence(tolerance, units);
  return text.starts_with('\n') ? text.substr(1) : text;
}

// Behind the name of a dimension.
std::string mark_of(const Sensitivity& one) { return one.exact ? " #" : one.known ? "" : " ?"; }

std::string number(double value, double factor) {
  return std::isfinite(value) ? fmt::format("{:+.1f}", value * factor) : "-";
}

nlohmann::json list_json(const std::vector<double>& values) {
  nlohmann::json list = nlohmann::json::array();
  for (const double value : values) list.push_back(number_or_null(value));
  return list;
}

}  // namespace

nlohmann::json tolerance_json(const SearchTask& task, const Tolerance& tolerance) {
  nlohmann::json json = search_json(task);
  json["torque"] = list_json(tolerance.torque);
  json["band_torque"] = number_or_null(tolerance.band_torque);
  json["step"] = half_inch;
  json["dimensions"] = nlohmann::json::array();
  for (const Sensitivity& one : tolerance.dimensions) {
    nlohmann::json dimension{
        {"name", name_of(task, one)}, {"kind", is_length(task, one) ? "length" : "size"},
        {"largest", one.largest},     {"largest_speed_rpm", 60 * one.largest_speed},
        {"known", one.known},         {"exact", one.exact}};
    const auto inch = changes_of(task, one, UnitSystem::inch);
    const auto metric = changes_of(task, one, UnitSystem::metric);
    dimension["changes"] = nlohmann::json::array();
    for (std::size_t i = 0; i < metric.size(); ++i) {
      dimension["changes"].push_back({{"metric", metric[i].what},
                                      {"inch", inch[i].what},
                                      {"band", number_or_null(metric[i].band)},
                                      {"torque", list_json(*metric[i].by_speed)}});
    }
    json["dimensions"].push_back(dimension);
  }
  if (tolerance.spread) {
    const ToleranceSpread& spread = *tolerance.spread;
    json["spread"] = {{"linear", list_json(spread.linear)},
                      {"sampled", list_json(spread.sampled)},
                      {"band_linear", number_or_null(spread.band_linear)},
                      {"band_sampled", number_or_null(spread.band_sampled)},
                      {"lowest", number_or_null(spread.lowest)},
                      {"highest", number_or_null(spread.highest)},
                      {"samples", spread.samples}};
  }
  json["words"] = {{"metric", sentences(task, tolerance, UnitSystem::metric)},
                   {"inch", sentences(task, tolerance, UnitSystem::inch)}};
  return json;
}

std::string tolerance_text(const SearchTask& task, const Tolerance& tolerance, UnitSystem units) {
  const DisplayUnits shown(units);
  const double factor = shown.torque.factor;
  std::string text = search_heading(task, "Tolerance", units);
  text += fmt::format(
      "\n{}\n\nChange of torque in {}, the largest first; # must be exact, ? not known\n",
      cases::wrapped(sentences(task, tolerance, units)), shown.torque.name);
  TextTable table;
  std::vector<std::string> head{"", "", "band"};
  for (const double speed : task.speeds()) head.push_back(fmt::format("{:.0f}", 60 * speed));
  table.row(head);
  table.rule();
  for (const Sensitivity& one : tolerance.dimensions) {
    for (const TorqueChange& change : changes_of(task, one, units)) {
      std::vector<std::string> row{name_of(task, one) + mark_of(one), change.what,
                                   number(change.band, factor)};
      for (const double value : *change.by_speed) row.push_back(number(value, factor));
      table.row(row);
    }
  }
  if (tolerance.spread) {
    table.rule();
    const ToleranceSpread& spread = *tolerance.spread;
    const auto add = [&](const std::string& how, double band, const std::vector<double>& by_speed) {
      std::vector<std::string> row{"finished header, +-", how, number_or_dash(band * factor, 2)};
      for (const double value : by_speed) row.push_back(number_or_dash(value * factor, 2));
      table.row(row);
    };
    add("by the slopes", spread.band_linear, spread.linear);
    add("sampled", spread.band_sampled, spread.sampled);
  }
  return text + table.text();
}

std::string tolerance_csv(const SearchTask& task, const Tolerance& tolerance, UnitSystem units) {
  const DisplayUnits shown(units);
  CsvTable csv;
  for (const char* name : {"dimension", "change", "must be exact"}) csv.add(name);
  csv.add(fmt::format("mean torque over the band, {}", shown.torque.name));
  for (const double speed : task.speeds()) {
    csv.add(fmt::format("torque at {:.0f} rpm, {}", 60 * speed, shown.torque.name));
  }
  csv.end_row();
  const auto cell = [&](double value) {
    csv.add(std::isfinite(value) ? fmt::format("{:.3f}", value * shown.torque.factor) : "");
  };
  for (const Sensitivity& one : tolerance.dimensions) {
    for (const TorqueChange& change : changes_of(task, one, units)) {
      csv.add(name_of(task, one));
      csv.add(change.what);
      csv.add(one.exact ? "yes" : one.known ? "no" : "not known");
      cell(change.band);
      for (const double value : *change.by_speed) cell(value);
      csv.end_row();
    }
  }
  return csv.text();
}

}  // namespace pulsewright::tools
