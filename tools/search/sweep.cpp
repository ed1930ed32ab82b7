#include "tools/search/sweep.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>

#include "cases/design_variable.hpp"
#include "cases/parameters.hpp"
#include "tools/study/band.hpp"

namespace pulsewright::tools {

namespace {

constexpr int default_values = 9;  // of a length without "by"
constexpr std::size_t most_values = 1000;
constexpr double torque_unknown = std::numeric_limits<double>::quiet_NaN();

[[noreturn]] void refuse(const std::string& text, const std::string& why) {
  throw std::invalid_argument(fmt::format(
      "--vary '{}': {}; for example: --vary \"primary_length=28 in to 36 in by 1 in\", --vary "
      "\"primary_length[1+3]=28 in to 36 in\", --vary primary_tube, --vary \"band_from=4000 to "
      "5000 "
      "by 500\"",
      text, why));
}

std::string trimmed(std::string text) {
  const auto blank = [](char c) { return c == ' '; };
  text.erase(text.begin(), std::find_if_not(text.begin(), text.end(), blank));
  text.erase(std::find_if_not(text.rbegin(), text.rend(), blank).base(), text.end());
  return text;
}

std::vector<int> numbers_of(const std::string& text, const std::string& list) {
  std::vector<int> numbers;
  std::string number;
  for (const char c : list + "+") {
    if (c != '+') {
      if (c < '0' || c > '9' || number.size() > 3) refuse(text, "names no cylinder");
      number += c;
      continue;
    }
    if (number.empty()) refuse(text, "names no cylinder");
    numbers.push_back(std::stoi(number));
    number.clear();
  }
  return numbers;
}

// "28 in to 36 in by 1 in": the parts between the words; the last one is empty where it is left
// out.
struct RangeText {
  std::string from, to, by;
};
RangeText range_parts(const std::string& text, const std::string& range) {
  const std::size_t to = range.find(" to ");
  if (to == std::string::npos) refuse(text, "has no range FROM to TO");
  const std::size_t by = range.find(" by ", to);
  RangeText parts;
  parts.from = trimmed(range.substr(0, to));
  parts.to = trimmed(range.substr(to + 4, by == std::string::npos ? by : by - to - 4));
  if (by != std::string::npos) parts.by = trimmed(range.substr(by + 4));
  return parts;
}

double quantity(const std::string& text, std::string part, cases::Dimension dimension) {
  const bool plain = part.find_first_not_of("0123456789.") == std::string::npos;
  if (dimension == cases::Dimension::rotation && plain) part += " rpm";
  try {
    return cases::parse_quantity(part, dimension);
  } catch (const cases::QuantityError& error) {
    refuse(text, error.what());
  }
}

// Ascending; the last is `to` where a whole number of steps reaches it.
std::vector<double> values_between(const std::string& text, double from, double to, double by) {
  if (!(from < to) || !(by > 0)) refuse(text, "the range must rise");
  const double steps = std::floor((to - from) / by * (1 + 1e-9) + 1e-9);
  if (steps + 1 > static_cast<double>(most_values)) refuse(text, "has too many values");
  std::vector<double> values;
  for (int i = 0; i <= static_cast<int>(steps); ++i) values.push_back(from + i * by);
  return values;
}

std::vector<double> values_of(const std::string& text, const RangeText& parts,
                              cases::Dimension dimension) {
  const double from = quantity(text, parts.from, dimension);
  const double to = quantity(text, parts.to, dimension);
  const double by =
      parts.by.empty() ? (to - from) / (default_values - 1) : quantity(text, parts.by, dimension);
  return values_between(text, from, to, by);
}

std::vector<double> all_values(const cases::DesignVariable& variable) {
  if (variable.is_length()) {
    return values_between("", variable.from, variable.to,
                          (variable.to - variable.from) / (default_values - 1));
  }
  std::vector<double> values;
  for (int i = 0; i <= static_cast<int>(variable.greatest()); ++i) values.push_back(i);
  return values;
}

// What [tune] says of the same part; as it is where it says nothing.
cases::DesignVariable as_in_tune(cases::DesignVariable variable, const cases::Tune& tune) {
  for (const auto& known : tune.variables) {
    if (known.part == variable.part && known.cylinders == variable.cylinders) return known;
  }
  return variable;
}

cases::DesignVariable named_variable(const std::string& text, std::string name,
                                     const cases::CaseFile& case_file,
                                     const cases::HeaderDesign& header) {
  cases::DesignVariable variable;
  if (const std::size_t bracket = name.find('['); bracket != std::string::npos) {
    if (name.back() != ']') refuse(text, "has no ] behind its cylinders");
    variable.cylinders = numbers_of(text, name.substr(bracket + 1, name.size() - bracket - 2));
    name.resize(bracket);
  }
  const cases::Parameter& parts = *cases::find_parameter("tune.vary", "part");
  const auto part = cases::choice_index(parts, name);
  if (!part) {
    refuse(text, fmt::format("'{}' is no such part; allowed are {}, band_from, band_to", name,
                             fmt::join(cases::choices_of(parts), ", ")));
  }
  variable.part = static_cast<cases::VariedPart>(*part);
  if (const std::string reason = cases::why_not_varied(header, variable); !reason.empty()) {
    refuse(text, fmt::format("header '{}' {}", header.name, reason));
  }
  return cases::with_choices(as_in_tune(variable, case_file.tune), header);
}

// Mean torque and power; NaN where a point that they need has none.
std::vector<double> by_power_and_band(const SearchTask& task, const Trial& trial, Band band) {
  return {aims_of(task.speeds(), trial.torque, band, 0).mean,
          aims_of(task.speeds(), trial.power, band, 0).mean};
}

std::vector<std::vector<std::size_t>> places_of(const std::vector<SweepAxis>& axes) {
  std::vector<std::vector<std::size_t>> places{{}};
  for (const SweepAxis& axis : axes) {
    std::vector<std::vector<std::size_t>> more;
    for (const auto& place : places) {
      for (std::size_t i = 0; i < axis.values.size(); ++i) {
        more.push_back(place);
        more.back().push_back(i);
      }
    }
    places = std::move(more);
  }
  return places;
}

constexpr double fit_rounding = 1e-9;  // m

// Whether the value of every axis lies within what [tune] says of its variable, and every primary
// of the design within what fits. limited: set where [tune] says anything of them.
bool is_within(const SearchTask& task, const std::vector<SweepAxis>& axes, const SweepCell& cell,
               bool& limited) {
  const cases::Tune& tune = task.case_file().tune;
  bool within = true;
  for (std::size_t a = 0; a < axes.size(); ++a) {
    if (axes[a].kind != SweepKind::variable || !axes[a].variable.is_length()) continue;
    for (const auto& known : tune.variables) {
      if (known.part != axes[a].variable.part || known.cylinders != axes[a].variable.cylinders) {
        continue;
      }
      const double value = axes[a].values[cell.place[a]];
      limited = true;
      within = within && value >= known.from - fit_rounding && value <= known.to + fit_rounding;
    }
  }
  const cases::HeaderDesign drawn = task.space().drawn(cell.trial->key.values);
  for (const cases::TubeFit& fit : tune.fits) {
    limited = true;
    for (const int cylinder : fit.cylinders) {
      const double length = drawn.primary_length.at(cylinder);
      within =
          within && length >= fit.shortest - fit_rounding && length <= fit.longest + fit_rounding;
    }
  }
  return within;
}

void find_best(const SearchTask& task, SweepMap& map) {
  bool limited = false;
  for (std::size_t c = 0; c < map.cells.size(); ++c) {
    const SweepCell& cell = map.cells[c];
    if (!cell.counts) continue;
    if (!map.best || cell.torque > map.cells[*map.best].torque) map.best = c;
    if (!is_within(task, map.axes, cell, limited)) continue;
    if (!map.within || cell.torque > map.cells[*map.within].torque) map.within = c;
  }
  if (!limited) map.within.reset();
  if (!map.best) return;
  for (std::size_t a = 0; a < map.axes.size(); ++a) {
    std::vector<double> torques;
    for (const SweepCell& cell : map.cells) {
      bool on_line = true;
      for (std::size_t b = 0; b < map.axes.size(); ++b) {
        on_line = on_line && (b == a || cell.place[b] == map.cells[*map.best].place[b]);
      }
      if (on_line) torques.push_back(cell.counts ? cell.torque : torque_unknown);
    }
    map.plateaus.push_back(
        plateau_of(map.axes[a].values, torques, map.cells[*map.best].place[a], plateau_margin));
  }
}

}  // namespace

SweepAxis axis_of(const std::string& text, const cases::CaseFile& case_file,
                  const cases::HeaderDesign& header) {
  const std::size_t sign = text.find('=');
  const std::string name = trimmed(text.substr(0, sign));
  SweepAxis axis;
  if (name == "band_from" || name == "band_to") {
    axis.kind = name == "band_from" ? SweepKind::band_from : SweepKind::band_to;
    if (sign == std::string::npos) refuse(text, "has no range FROM to TO");
    axis.values =
        values_of(text, range_parts(text, text.substr(sign + 1)), cases::Dimension::rotation);
    return axis;
  }
  axis.variable = named_variable(text, name, case_file, header);
  if (sign == std::string::npos) {
    if (axis.variable.is_length() && !(axis.variable.to > axis.variable.from)) {
      refuse(text, "has no range FROM to TO");
    }
    axis.values = all_values(axis.variable);
    return axis;
  }
  if (!axis.variable.is_length()) refuse(text, "sizes and orders have no range; leave it out");
  axis.values = values_of(text, range_parts(text, text.substr(sign + 1)), cases::Dimension::length);
  axis.variable.from = axis.values.front();
  axis.variable.to = axis.values.back();
  return axis;
}

std::vector<SweepAxis> axes_of_tune(const cases::CaseFile& case_file,
                                    const cases::HeaderDesign& header) {
  std::vector<SweepAxis> axes;
  for (const auto& known : case_file.tune.variables) {
    if (axes.size() == 2) break;
    const auto variable = cases::with_choices(known, header);
    axes.push_back({SweepKind::variable, variable, all_values(variable)});
  }
  return axes;
}

std::vector<double> band_edges(const std::vector<SweepAxis>& axes) {
  std::vector<double> edges;
  for (const SweepAxis& axis : axes) {
    if (axis.kind == SweepKind::variable) continue;
    edges.insert(edges.end(), axis.values.begin(), axis.values.end());
  }
  return edges;
}

std::vector<cases::DesignVariable> variables_of(const std::vector<SweepAxis>& axes) {
  std::vector<cases::DesignVariable> variables;
  for (const SweepAxis& axis : axes) {
    if (axis.kind == SweepKind::variable) variables.push_back(axis.variable);
  }
  return variables;
}

Plateau plateau_of(const std::vector<double>& xs, const std::vector<double>& ys, std::size_t best,
                   double margin) {
  const double least = ys[best] - margin;
  // The end of the plateau in one direction; false where it reaches the last value.
  const auto end = [&](int step, double& at) {
    std::size_t i = best;
    while (true) {
      at = xs[i];
      if ((step < 0 && i == 0) || (step > 0 && i + 1 == xs.size())) return true;
      const std::size_t next = step < 0 ? i - 1 : i + 1;
      if (std::isnan(ys[next])) return false;
      if (ys[next] < least) {
        at = xs[i] + (xs[next] - xs[i]) * (ys[i] - least) / (ys[i] - ys[next]);
        return false;
      }
      i = next;
    }
  };
  Plateau plateau;
  plateau.open_below = end(-1, plateau.from);
  plateau.open_above = end(1, plateau.to);
  return plateau;
}

SweepMap sweep_map(const SearchTask& task, const std::vector<SweepAxis>& axes,
                   TrialHistory& history) {
  SweepMap map;
  map.axes = axes;
  const auto places = places_of(axes);
  std::vector<TrialKey> keys{{task.space().reference_values(), 0}};
  for (const auto& place : places) {
    TrialKey key;
    for (std::size_t a = 0; a < axes.size(); ++a) {
      if (axes[a].kind == SweepKind::variable) key.values.push_back(axes[a].values[place[a]]);
    }
    keys.push_back(std::move(key));
  }
  const auto trials = history.trials(keys);
  map.start_torque = by_power_and_band(task, *trials[0], task.band())[0];
  for (std::size_t c = 0; c < places.size(); ++c) {
    SweepCell cell;
    cell.place = places[c];
    cell.trial = trials[c + 1];
    Band band = task.band();
    for (std::size_t a = 0; a < axes.size(); ++a) {
      if (axes[a].kind == SweepKind::band_from) band.from = axes[a].values[cell.place[a]];
      if (axes[a].kind == SweepKind::band_to) band.to = axes[a].values[cell.place[a]];
    }
    const bool rises = band.from <= band.to;
    cell.counts = rises && counts_in(task.speeds(), *cell.trial, band);
    const auto means = rises ? by_power_and_band(task, *cell.trial, band)
                             : std::vector{torque_unknown, torque_unknown};
    cell.torque = means[0];
    cell.power = means[1];
    map.cells.push_back(std::move(cell));
  }
  find_best(task, map);
  return map;
}

}  // namespace pulsewright::tools
