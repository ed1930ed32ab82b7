#include "tools/dyno/dyno_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <numbers>

#include "cases/counted.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

// How a column is shown: kg/h or lb/min of flows, degrees of temperatures.
struct ShownChannel {
  std::string key, words, unit;
  double factor = 1, offset = 0;
  int digits = 1;
};

std::vector<ShownChannel> shown_channels(UnitSystem system) {
  const bool inch = system == UnitSystem::inch;
  const std::string unit = inch ? "lb/min" : "kg/h";
  const double flow = cases::in_unit(1, unit);
  return {{"air_flow", "air", unit, flow, 0, inch ? 2 : 1},
          {"fuel_flow", "fuel", unit, flow, 0, inch ? 3 : 2},
          {"exhaust_temperature", "exhaust gas", std::string(temperature_name(system)),
           inch ? 1.8 : 1, inch ? -459.67 : -273.15, 0}};
}

// The prediction with its interval; differences with their sign.
std::string interval(const DynoPoint& p, double factor, bool with_sign) {
  const auto shown = [&](double value) {
    return with_sign ? signed_or_dash(factor * value, 1) : number_or_dash(factor * value, 1);
  };
  if (!std::isfinite(p.low)) return shown(p.predicted);
  return fmt::format("{} ({} to {})", shown(p.predicted), shown(p.low), shown(p.high));
}

std::string curve_table(const DynoCurve& curve, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  TextTable table;
  table.row({"rpm", "measured", "+-", "predicted", "difference", "%"});
  table.rule();
  for (const DynoPoint& p : curve.torque) {
    const double difference = p.predicted - p.measured;
    table.row({rpm_text(p.speed), number_or_dash(unit.factor * p.measured, 1),
               number_or_dash(unit.factor * p.half, 1),
               interval(p, unit.factor, false) + (p.fault.empty() ? "" : "!"),
               signed_or_dash(unit.factor * difference, 1),
               signed_or_dash(100 * difference / p.measured, 1)});
  }
  return table.text();
}

std::string others_table(const DynoCurve& curve, UnitSystem system) {
  if (curve.others.empty()) return "";
  std::vector<ShownChannel> shown;
  for (const ShownChannel& channel : shown_channels(system)) {
    if (curve.others.count(channel.key) > 0) shown.push_back(channel);
  }
  TextTable table;
  std::vector<std::string> head{"rpm"};
  for (const ShownChannel& channel : shown) {
    head.push_back(fmt::format("{}, {}", channel.words, channel.unit));
    head.push_back("predicted");
  }
  table.row(head);
  table.rule();
  for (std::size_t s = 0; s < curve.torque.size(); ++s) {
    std::vector<std::string> row{rpm_text(curve.torque[s].speed)};
    for (const ShownChannel& channel : shown) {
      const DynoPoint& p = curve.others.find(channel.key)->second[s];
      row.push_back(number_or_dash(channel.factor * p.measured + channel.offset, channel.digits));
      row.push_back(number_or_dash(channel.factor * p.predicted + channel.offset, channel.digits));
    }
    table.row(row);
  }
  return "\n" + table.text();
}

std::string difference_table(const DynoDifference& d, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  TextTable table;
  table.row({"rpm", "measured", "+-", "predicted"});
  table.rule();
  for (const DynoPoint& p : d.torque) {
    table.row({rpm_text(p.speed), signed_or_dash(unit.factor * p.measured, 1),
               number_or_dash(unit.factor * p.half, 1), interval(p, unit.factor, true)});
  }
  return table.text();
}

json point_json_of(const DynoPoint& p) {
  json j{{"measured", number_or_null(p.measured)},
         {"plus_or_minus", number_or_null(p.half)},
         {"pulls", p.pulls},
         {"predicted", number_or_null(p.predicted)},
         {"low", number_or_null(p.low)},
         {"high", number_or_null(p.high)}};
  if (p.speed > 0) j["speed_rpm"] = 60 * p.speed;
  if (!p.fault.empty()) j["fault"] = p.fault;
  return j;
}

json points_json(const std::vector<DynoPoint>& points) {
  json list = json::array();
  for (const DynoPoint& p : points) list.push_back(point_json_of(p));
  return list;
}

std::string wrapped_lines(const std::vector<std::string>& sentences) {
  std::string out;
  for (const std::string& sentence : sentences) out += cases::wrapped(sentence) + "\n";
  return out;
}

}  // namespace

std::vector<std::string> difference_sentences(const DynoResult& result, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  std::vector<std::string> out;
  for (const DynoDifference& d : result.differences) {
    if (d.torque.empty() || !std::isfinite(d.mean.measured)) {
      out.push_back(fmt::format("{} less {}: no speed of the band was measured with both.",
                                d.header, d.other));
      continue;
    }
    const auto agree = d.agree();
    std::string text = fmt::format(
        "{} less {}, mean over the measured part of the band: measured {} plus or minus {} {}, "
        "predicted {}",
        d.header, d.other, signed_or_dash(unit.factor * d.mean.measured, 1),
        number_or_dash(unit.factor * d.mean.half, 1), unit.name,
        signed_or_dash(unit.factor * d.mean.predicted, 1));
    if (agree) {
      text += fmt::format(" ({} to {}): {}", signed_or_dash(unit.factor * d.mean.low, 1),
                          signed_or_dash(unit.factor * d.mean.high, 1),
                          *agree ? "the intervals meet" : "the intervals do not meet");
    } else {
      text += "; the interval of the prediction takes a results file of `compare`";
    }
    out.push_back(text + ".");
  }
  return out;
}

std::string dyno_text(const DynoResult& result, UnitSystem system) {
  const DisplayUnit unit = DisplayUnits(system).torque;
  std::string out = cases::visible(result.title) + "\n";
  out += result.shown_as == models::PowerCorrection::none
             ? std::string("Torque in the air of the case")
             : fmt::format("Torque corrected to {} (factor {:.4f} in the air of the case)",
                           correction_title(result.shown_as), result.factor);
  out += fmt::format(", in {}\n", unit.name);
  bool faults = false;
  for (const DynoCurve& curve : result.curves) {
    out += fmt::format("\n{}: mean of {}", cases::visible(curve.header),
                       cases::counted(curve.pulls, "pull"));
    if (curve.pulls > 1) out += fmt::format(", which scatter by {:.2f} %", 100 * curve.scatter);
    out += "\n" + curve_table(curve, system) + others_table(curve, system);
    if (std::isfinite(curve.level)) {
      out +=
          cases::wrapped(fmt::format(
              "Predicted torque is {:+.1f} % from the measured in the mean{}.", 100 * curve.level,
              std::isfinite(curve.shape)
                  ? fmt::format(" and {:.1f} % about that mean over speed", 100 * curve.shape)
                  : "")) +
          "\n";
    }
    for (const std::string& remark : curve.remarks) out += cases::wrapped("! " + remark, 2) + "\n";
    faults = faults || std::any_of(curve.torque.begin(), curve.torque.end(),
                                   [](const DynoPoint& p) { return !p.fault.empty(); });
  }
  for (const DynoDifference& d : result.differences) {
    if (d.torque.empty()) continue;
    out += fmt::format("\n{} less {}, {}\n", cases::visible(d.header), cases::visible(d.other),
                       unit.name);
    out += difference_table(d, system);
  }
  out += wrapped_lines(difference_sentences(result, system));
  if (faults) out += "!: the prediction does not count there\n";
  out += wrapped_lines(
      {"+-: 95 % of the mean of the pulls, by their scatter or what a dynamometer repeats; what "
       "all pulls of a day have in common is not in it."});
  if (!result.calibrated.empty()) {
    out += cases::wrapped(fmt::format("The engine is calibrated {}: the level is that of the "
                                      "measurement, differences between headers are the claim.",
                                      cases::visible(result.calibrated))) +
           "\n";
  }
  out.pop_back();
  return out;
}

json dyno_json(const DynoResult& result) {
  json curves = json::array();
  for (const DynoCurve& curve : result.curves) {
    json others = json::object();
    for (const auto& [key, points] : curve.others) others[key] = points_json(points);
    curves.push_back({{"header", curve.header},
                      {"pulls", curve.pulls},
                      {"scatter", curve.scatter},
                      {"torque", points_json(curve.torque)},
                      {"others", others},
                      {"level", number_or_null(curve.level)},
                      {"shape", number_or_null(curve.shape)},
                      {"remarks", curve.remarks}});
  }
  json differences = json::array();
  for (const DynoDifference& d : result.differences) {
    const auto agree = d.agree();
    differences.push_back({{"header", d.header},
                           {"other", d.other},
                           {"torque", points_json(d.torque)},
                           {"mean", point_json_of(d.mean)},
                           {"intervals_meet", agree ? json(*agree) : json(nullptr)}});
  }
  json out{{"title", result.title},   {"correction", correction_title(result.shown_as)},
           {"factor", result.factor}, {"band_rpm", {60 * result.band_from, 60 * result.band_to}},
           {"curves", curves},        {"differences", differences}};
  if (!result.calibrated.empty()) out["calibrated"] = result.calibrated;
  return out;
}

std::string dyno_csv(const DynoResult& result, UnitSystem system) {
  const DisplayUnits units(system);
  const auto channels = shown_channels(system);
  CsvTable table;
  for (const char* name : {"header", "speed, rpm", "pulls"}) table.add(name);
  for (const char* name :
       {"measured torque", "plus or minus", "predicted torque", "low", "high", "difference"}) {
    table.add(fmt::format("{}, {}", name, units.torque.name));
  }
  for (const char* name : {"measured power", "predicted power"}) {
    table.add(fmt::format("{}, {}", name, units.power.name));
  }
  table.add("counts");
  for (const ShownChannel& channel : channels) {
    table.add(fmt::format("measured {}, {}", channel.words, channel.unit));
    table.add(fmt::format("predicted {}, {}", channel.words, channel.unit));
  }
  table.end_row();
  const auto add = [&](double value, int digits) {
    table.add(std::isfinite(value) ? fmt::format("{:.{}f}", value, digits) : "");
  };
  for (const DynoCurve& curve : result.curves) {
    for (std::size_t s = 0; s < curve.torque.size(); ++s) {
      const DynoPoint& p = curve.torque[s];
      table.add(curve.header);
      table.add(rpm_text(p.speed));
      table.add(fmt::format("{}", p.pulls));
      for (const double torque :
           {p.measured, p.half, p.predicted, p.low, p.high, p.predicted - p.measured}) {
        add(units.torque.factor * torque, 2);
      }
      const double to_power = 2 * std::numbers::pi * p.speed * units.power.factor;
      add(to_power * p.measured, 2);
      add(to_power * p.predicted, 2);
      table.add(p.counts() ? "yes" : "no");
      for (const ShownChannel& channel : channels) {
        const auto points = curve.others.find(channel.key);
        for (double DynoPoint::*value : {&DynoPoint::measured, &DynoPoint::predicted}) {
          if (points == curve.others.end()) {
            table.add("");
          } else {
            add(channel.factor * (points->second[s].*value) + channel.offset, channel.digits);
          }
        }
      }
      table.end_row();
    }
  }
  return table.text();
}

}  // namespace pulsewright::tools
