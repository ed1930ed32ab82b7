#include "tools/dyno/calibration_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

std::string value_with_unit(double value, const Knob& knob) {
  return knob.unit.empty() ? fmt::format("{:.4g}", value)
                           : fmt::format("{:.4g} {}", value, knob.unit);
}

std::vector<std::string> calibration_sentences(const Calibration& c) {
  std::vector<std::string> out;
  std::vector<std::string> untold, bounds, pairs;
  for (const CalibratedKnob& knob : c.knobs) {
    if (knob.at_bound) bounds.emplace_back(knob.knob.name);
    if (!knob.told()) untold.emplace_back(knob.knob.name);
  }
  for (Eigen::Index i = 0; i < c.correlation.rows(); ++i) {
    for (Eigen::Index j = 0; j < i; ++j) {
      if (std::abs(c.correlation(i, j)) < close_correlation) continue;
      pairs.push_back(
          fmt::format("{} and {} ({:+.2f})", c.knobs[static_cast<std::size_t>(j)].knob.name,
                      c.knobs[static_cast<std::size_t>(i)].knob.name, c.correlation(i, j)));
    }
  }
  if (!untold.empty()) {
    out.push_back(
        fmt::format("The pulls say little of {}: what stands there is mostly what was "
                    "expected beforehand.",
                    fmt::join(untold, ", ")));
  }
  if (!pairs.empty()) {
    out.push_back(
        fmt::format("Hardly told from each other: {}; only what they do together is known.",
                    fmt::join(pairs, ", ")));
  }
  if (!bounds.empty()) {
    out.push_back(
        fmt::format("At the end of the range: {}. Something else is likely to be wrong "
                    "in the case, or in the pulls.",
                    fmt::join(bounds, ", ")));
  }
  if (c.scale > 1.5) {
    out.push_back(
        fmt::format("What is left over is {:.1f} times what the scatter of the pulls "
                    "explains: the model lacks something that these knobs are not. The "
                    "errors above are widened by that.",
                    c.scale));
  }
  if (!c.converged) out.push_back("The fit was ended before it settled.");
  return out;
}

}  // namespace

std::string calibration_text(const Calibration& c, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  TextTable table;
  table.row({"knob", "case", "calibrated", "+-", "range"});
  table.rule();
  for (const CalibratedKnob& k : c.knobs) {
    table.row({std::string(k.knob.name), value_with_unit(k.start, k.knob),
               value_with_unit(k.value, k.knob),
               k.at_bound ? "bound" : fmt::format("{:.2g}", k.error),
               fmt::format("{:g} to {:g}", k.least, k.most)});
  }
  std::string out = "Calibration\n" + table.text();
  out += "+-: one standard error\n";
  for (const std::string& sentence : calibration_sentences(c)) {
    out += cases::wrapped(sentence) + "\n";
  }
  const auto percent = [&](double CalibratedPoint::*value, bool held) {
    return fmt::format("{:.2f} %", 100 * c.deviation(value, held));
  };
  out += fmt::format("Torque at the fitted points: {} off before, {} after (root mean square)\n",
                     percent(&CalibratedPoint::before, false),
                     percent(&CalibratedPoint::after, false));
  if (std::isfinite(c.deviation(&CalibratedPoint::after, true))) {
    out += fmt::format("Torque at the points held out: {} off before, {} after\n",
                       percent(&CalibratedPoint::before, true),
                       percent(&CalibratedPoint::after, true));
  }
  TextTable points;
  points.row({"rpm", "header", fmt::format("measured, {}", unit.name), "before", "after", ""});
  points.rule();
  for (const CalibratedPoint& p : c.points) {
    points.row({rpm_text(p.speed), cases::visible(p.header),
                number_or_dash(unit.factor * p.measured, 1),
                number_or_dash(unit.factor * p.before, 1), number_or_dash(unit.factor * p.after, 1),
                p.held_out ? "held out" : ""});
  }
  out += "\n" + points.text();
  for (const std::string& left : c.left_out) {
    out += cases::wrapped("! left out: " + cases::visible(left), 2) + "\n";
  }
  return out;
}

json calibration_json(const Calibration& c) {
  json list = json::array();
  for (const CalibratedKnob& k : c.knobs) {
    list.push_back({{"name", k.knob.name},
                    {"key", k.knob.key},
                    {"unit", k.knob.unit},
                    {"case", k.start},
                    {"value", k.value},
                    {"standard_error", k.error},
                    {"least", k.least},
                    {"most", k.most},
                    {"at_bound", k.at_bound},
                    {"told", k.told()}});
  }
  json rows = json::array();
  for (Eigen::Index i = 0; i < c.correlation.rows(); ++i) {
    json row = json::array();
    for (Eigen::Index j = 0; j < c.correlation.cols(); ++j) row.push_back(c.correlation(i, j));
    rows.push_back(row);
  }
  json points = json::array();
  for (const CalibratedPoint& p : c.points) {
    points.push_back({{"header", p.header},
                      {"speed_rpm", 60 * p.speed},
                      {"measured", p.measured},
                      {"before", number_or_null(p.before)},
                      {"after", number_or_null(p.after)},
                      {"held_out", p.held_out}});
  }
  const auto deviation = [&](bool held) {
    return json{{"before", number_or_null(c.deviation(&CalibratedPoint::before, held))},
                {"after", number_or_null(c.deviation(&CalibratedPoint::after, held))}};
  };
  return {{"knobs", list},
          {"correlation", rows},
          {"points", points},
          {"left_out", c.left_out},
          {"scale", c.scale},
          {"converged", c.converged},
          {"iterations", c.iterations},
          {"runs", c.runs},
          {"fitted", deviation(false)},
          {"held_out", deviation(true)}};
}

}  // namespace pulsewright::tools
