#include "tools/cli/check_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "cases/counted.hpp"
#include "cases/engine_figures.hpp"
#include "cases/header_builder.hpp"
#include "cases/header_figures.hpp"
#include "cases/header_parts.hpp"
#include "cases/wrapped_text.hpp"
#include "models/boundary/crank_angle.hpp"
#include "models/boundary/merge_place.hpp"
#include "models/network/symmetry.hpp"
#include "tools/cli/part_text.hpp"
#include "tools/cli/tubes_text.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using cases::QuantityText;

// "82 deg BBDC" of an angle after firing top dead centre; top: whether counted from the top dead
// centre at 360 deg, else from the bottom one at 180 or 540 deg.
std::string event_text(double angle, bool top, double bottom) {
  const double from = models::fold(angle - (top ? 360 : bottom) + 360) - 360;
  return fmt::format("{:.4g} deg {}", std::abs(from),
                     from < 0 ? (top ? "BTDC" : "BBDC") : (top ? "ATDC" : "ABDC"));
}

std::string at_lift(const QuantityText& shown) {
  return "at " + shown.length(cases::checking_lift);
}

std::string area_or_none(double area, const QuantityText& shown) {
  return area > 0 ? shown.area(area) : "-";
}

// Exhaust and intake beside each other.
std::string valve_table(const cases::EngineFigures& f, const QuantityText& shown) {
  const cases::ValveFigures& e = f.exhaust;
  const cases::ValveFigures& i = f.intake;
  const auto duration = [](const cases::ValveFigures& v) {
    if (!v.checked) return std::string("-");
    return fmt::format("{:.4g} deg", v.checked->closes_deg - v.checked->opens_deg);
  };
  const auto checked = [](const cases::ValveFigures& v, double cases::ValveFigures::Checked::*at,
                          bool top, double bottom) {
    return v.checked ? event_text((*v.checked).*at, top, bottom) : std::string("-");
  };
  using Checked = cases::ValveFigures::Checked;
  TextTable table;
  table.row({"  valves", "exhaust", "intake"});
  table.row({"  opens at the seat", event_text(e.opens_deg, false, 180),
             event_text(i.opens_deg, true, 540)});
  table.row({"  closes at the seat", event_text(e.closes_deg, true, 180),
             event_text(i.closes_deg, false, 540)});
  table.row({"  duration at the seat", fmt::format("{:.4g} deg", e.closes_deg - e.opens_deg),
             fmt::format("{:.4g} deg", i.closes_deg - i.opens_deg)});
  table.row({"  open, less lash", fmt::format("{:.4g} deg", e.open_deg),
             fmt::format("{:.4g} deg", i.open_deg)});
  table.row({fmt::format("  opens {}", at_lift(shown)), checked(e, &Checked::opens_deg, false, 180),
             checked(i, &Checked::opens_deg, true, 540)});
  table.row({fmt::format("  closes {}", at_lift(shown)),
             checked(e, &Checked::closes_deg, true, 180),
             checked(i, &Checked::closes_deg, false, 540)});
  table.row({fmt::format("  duration {}", at_lift(shown)), duration(e), duration(i)});
  table.row({"  lobe centerline", event_text(e.centerline_deg, true, 0),
             event_text(i.centerline_deg, true, 0)});
  table.row({"  full lift, less lash", shown.length(e.full_lift), shown.length(i.full_lift)});
  table.row({"  bore of the seats", shown.area(e.seat_area), shown.area(i.seat_area)});
  table.row({"  curtain at full lift", shown.area(e.curtain_area), shown.area(i.curtain_area)});
  table.row({"  effective area, most", shown.area(e.flow_area), shown.area(i.flow_area)});
  table.row(
      {"  port at the valve", area_or_none(e.port_area, shown), area_or_none(i.port_area, shown)});
  return table.text();
}

// The air that the engine draws, and the fuel in it.
std::string charge_text(const cases::CaseFile& case_file, const QuantityText& shown) {
  const models::CombustionSpecification& c = case_file.combustion;
  const models::Ambient& air = case_file.ambient;
  std::string text = fmt::format(
      "air outside {}, {}",
      shown.of_text(fmt::format("{:.4g} mbar", air.pressure / 100), cases::Dimension::pressure),
      shown.of_text(fmt::format("{:.3g} degC", air.temperature - 273.15),
                    cases::Dimension::temperature));
  if (c.water_vapour > 0) text += fmt::format(", {:.2g} % water vapour", 100 * c.water_vapour);
  text += fmt::format("; air-fuel ratio {:.3g}, {:.2g} of stoichiometric, {:.3g} MJ/kg of fuel",
                      c.air_fuel_ratio, c.air_fuel_ratio / c.stoichiometric_air_fuel,
                      c.heating_value / 1e6);
  if (c.fuel_vapour > 0) {
    text += fmt::format(", {:.2g} % fuel vapour in the charge", 100 * c.fuel_vapour);
  }
  return cases::wrapped(text, 2) + "\n";
}

std::string overlap_text(double angle) {
  return angle > 0 ? fmt::format("{:.3g} deg", angle) : std::string("none");
}

std::string joined(const std::vector<int>& numbers, const char* between) {
  return fmt::format("{}", fmt::join(numbers, between));
}

// ---------------------------------------------------------------- headers

// Where the tubes of a collector meet, counted from their crotch.
std::string merge_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                       const cases::CollectorGroup& group, const QuantityText& shown) {
  const std::size_t n = group.cylinders.size();
  if (cases::has_secondaries(header.kind)) return {};
  const double bore = cases::merging_bore(header, group.cylinders);
  const double behind = models::merge_behind_crotch(bore, case_file.exhaust.law);
  const double half_angle = header.merge_half_angle_deg * std::numbers::pi / 180;
  std::string text = fmt::format(
      "    the pipes meet {} behind the crotch, to which lengths are "
      "measured",
      shown.length(behind, 3));
  if (half_angle > 0 && half_angle < 0.49 * std::numbers::pi) {
    const double axes =
        models::crotch_distance(bore, half_angle, 2 * std::numbers::pi / static_cast<double>(n));
    text += fmt::format("; the axes of the tubes {} behind it", shown.length(axes, 3));
  }
  return cases::wrapped(text, 6) + "\n";
}

std::string group_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                       const cases::CollectorGroup& group, const QuantityText& shown) {
  if (group.cylinders.size() == 1) {  // no collector
    const auto length = header.primary_length.find(group.cylinders.front());
    return fmt::format("  cylinder {}: {}\n", length->first, shown.length(length->second));
  }
  std::vector<std::string> gaps;
  for (const double gap : group.interval_deg) gaps.push_back(fmt::format("{:.0f}", gap));
  std::string out =
      cases::wrapped(fmt::format("  collector {}: cylinders {} in firing order, {} deg apart",
                                 group.name, joined(group.cylinders, "-"), fmt::join(gaps, "/")),
                     4) +
      "\n";
  for (std::size_t i = 0; i < group.cylinders.size(); ++i) {
    const auto length = header.primary_length.find(group.cylinders[i]);
    if (length == header.primary_length.end()) continue;
    const int position = group.collector_position[i];
    out += fmt::format("    cylinder {}: {}, position {} round the collector, {:.0f} deg\n",
                       group.cylinders[i], shown.length(length->second), position,
                       360.0 * (position - 1) / static_cast<double>(group.cylinders.size()));
    if (have_same_tubes(header, shown)) continue;
    out +=
        cases::wrapped("      " + primary_text(header.primaries.at(group.cylinders[i]), shown), 8) +
        "\n";
  }
  for (const std::vector<int>& members : group.subgroups) {
    out += fmt::format("    {} of cylinders {}\n",
                       cases::has_secondaries(header.kind) ? "secondary" : "half",
                       joined(members, "-"));
  }
  return out + merge_text(case_file, header, group, shown);
}

// What the layout of a 180-degree header makes equal.
std::string equal_text(const cases::HeaderDesign& header,
                       const models::EngineSpecification& engine) {
  if (header.kind != cases::HeaderKind::degree_180) return {};
  const auto symmetry = models::symmetry_of(engine);
  if (!symmetry) return {};
  return entry("equal",
               fmt::format("by construction: each cylinder is another one {:.0f} deg of crank "
                           "later, in the same pipes",
                           symmetry->turn));
}

// "5530 rpm", or both of two that differ.
std::string speeds_text(double low, double high) {
  const std::string least = fmt::format("{:.0f}", 60 * std::min(low, high));
  const std::string most = fmt::format("{:.0f}", 60 * std::max(low, high));
  return least == most ? most + " rpm" : fmt::format("{} to {} rpm", least, most);
}

std::string lengths_text(double shortest, double longest, const QuantityText& shown) {
  const std::string least = shown.length(shortest);
  const std::string most = shown.length(longest);
  return least == most ? most : fmt::format("{} to {}", least, most);
}

std::string rules_text(const cases::HeaderFigures::Rules& rules, const QuantityText& shown) {
  return entry("hand rules",
               fmt::format(
                   "torque peak near {} by the size of the primaries ({} of mean gas speed; "
                   "Car Craft, Header Basics, J. McFarland)",
                   speeds_text(rules.torque_peak, rules.torque_peak), shown.speed(245 * 0.3048))) +
         entry("", fmt::format("tuned to {} by length, {} from the valve (Bell, Four-Stroke "
                               "Performance Tuning, 1981), with a bore of {}",
                               speeds_text(rules.shortest_speed, rules.longest_speed),
                               lengths_text(rules.shortest, rules.longest, shown),
                               shown.length(rules.bore, 3)));
}

nlohmann::json valve_json(const cases::ValveFigures& v) {
  const auto checked = [&](double angle) {
    return v.checked ? nlohmann::json(angle) : nlohmann::json();
  };
  const auto c = v.checked.value_or(cases::ValveFigures::Checked{});
  return {{"opens", v.opens_deg},
          {"closes", v.closes_deg},
          {"open_less_lash", v.open_deg},
          {"checked_opens", checked(c.opens_deg)},
          {"checked_closes", checked(c.closes_deg)},
          {"checked_duration", checked(c.closes_deg - c.opens_deg)},
          {"centerline", v.centerline_deg},
          {"full_lift", v.full_lift},
          {"seat_area", v.seat_area},
          {"curtain_area", v.curtain_area},
          {"flow_area", v.flow_area},
          {"port_area", v.port_area > 0 ? nlohmann::json(v.port_area) : nlohmann::json()}};
}

nlohmann::json tube_json(const cases::Tube& tube) {
  if (tube.inside_diameter == 0) return {};
  return {{"inside_diameter", tube.inside_diameter},
          {"wall", tube.wall > 0 ? nlohmann::json(tube.wall) : nlohmann::json()}};
}

}  // namespace

std::string engine_text(const cases::CaseFile& case_file, const QuantityText& shown) {
  const cases::EngineFigures f = cases::engine_figures(case_file);
  const auto& speeds = case_file.run.speeds;
  std::string out = fmt::format(
      "{}, {}, firing order {}\n", cases::counted(case_file.engine.firing_order.size(), "cylinder"),
      shown.volume(f.displacement), joined(case_file.engine.firing_order, "-"));
  out += speeds.size() == 1 ? fmt::format("1 speed, {:.0f} rpm", 60 * speeds.front())
                            : fmt::format("{} speeds from {:.0f} to {:.0f} rpm", speeds.size(),
                                          60 * speeds.front(), 60 * speeds.back());
  out += fmt::format("; mean piston speed {} at the highest\n", shown.speed(f.mean_piston_speed));
  out +=
      cases::wrapped(
          fmt::format("compression ratio {:.4g} static, {:.3g} from intake closing (effective or "
                      "dynamic, less lash)",
                      f.compression_ratio, f.closing_ratio),
          2) +
      "\n";
  out += cases::wrapped(
             fmt::format("valve overlap {} at the seat, {} {}; lobe separation {:.4g} deg",
                         overlap_text(f.overlap_deg),
                         f.checked_overlap_deg ? overlap_text(*f.checked_overlap_deg) : "unknown",
                         at_lift(shown), f.lobe_separation_deg),
             2) +
         "\n";
  out += charge_text(case_file, shown);
  for (const std::string& line : intake_lines(case_file, shown)) {
    out += cases::wrapped(line, 2) + "\n";
  }
  return out + "\n" + valve_table(f, shown) +
         cases::wrapped(fmt::format("  lift of the follower {}, of the valve where a lift table is "
                                    "given; areas of one cylinder",
                                    at_lift(shown)),
                        2) +
         "\n";
}

std::string header_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                        const QuantityText& shown) {
  const auto engine = cases::build_engine(case_file, header);
  std::string out = fmt::format("{} ({}): {}, {}\n", header.name, cases::kind_name(header.kind),
                                cases::counted(engine.pipes.size(), "pipe"),
                                cases::counted(cases::cell_count(engine), "cell"));
  out += tubes_text(case_file, header, shown);
  for (const auto& [name, text] : part_lines(case_file, header, shown)) out += entry(name, text);
  const cases::HeaderFigures f = cases::header_figures(case_file, header);
  const char* tube = cases::has_secondaries(header.kind) ? "secondary" : "primary";
  if (f.collector_over_tube) {
    out += entry("", fmt::format("area of the collector: {:.3g} times that of one {}, {:.3g} times "
                                 "that of all {}",
                                 *f.collector_over_tube, tube, *f.collector_over_tubes, f.tubes));
  }
  if (f.entry_over_tube) {
    const bool neck = header.merge_diameter < header.collector_tube.inside_diameter;
    out +=
        entry("", fmt::format("area {}: {:.3g} times that of one {}, {:.3g} times that of all {}",
                              neck ? "of the neck" : "where the tubes enter it", *f.entry_over_tube,
                              tube, *f.entry_over_tubes, f.tubes));
  }
  out += equal_text(header, engine);
  if (f.rules) out += rules_text(*f.rules, shown);
  for (const auto& group : header.groups) out += group_text(case_file, header, group, shown);
  return out;
}

nlohmann::json engine_json(const cases::CaseFile& case_file) {
  const cases::EngineFigures f = cases::engine_figures(case_file);
  return {{"cylinders", case_file.engine.firing_order.size()},
          {"displacement", f.displacement},
          {"overlap", f.overlap_deg},
          {"checked_overlap", or_null(f.checked_overlap_deg)},
          {"lobe_separation", f.lobe_separation_deg},
          {"compression_ratio", f.compression_ratio},
          {"effective_compression_ratio", f.closing_ratio},
          {"mean_piston_speed", f.mean_piston_speed},
          {"exhaust_valve", valve_json(f.exhaust)},
          {"intake_valve", valve_json(f.intake)},
          {"intake", intake_json(case_file)}};
}

nlohmann::json header_json(const cases::CaseFile& case_file, const cases::HeaderDesign& header) {
  const cases::HeaderFigures f = cases::header_figures(case_file, header);
  nlohmann::json j{{"name", header.name},
                   {"primary_tube", tube_json(header.primary_tube)},
                   {"secondary_tube", tube_json(header.secondary_tube)},
                   {"collector_tube", tube_json(header.collector_tube)},
                   {"tail_tube", tube_json(header.tail_tube)},
                   {"collector_over_tube", or_null(f.collector_over_tube)},
                   {"collector_over_tubes", or_null(f.collector_over_tubes)},
                   {"entry_over_tube", or_null(f.entry_over_tube)},
                   {"entry_over_tubes", or_null(f.entry_over_tubes)},
                   {"parts", parts_json(case_file, header)},
                   {"hand_rules", nullptr}};
  if (!f.rules) return j;
  j["hand_rules"] = {{"torque_peak_rpm", 60 * f.rules->torque_peak},
                     {"shortest", f.rules->shortest},
                     {"longest", f.rules->longest},
                     {"shortest_rpm", 60 * f.rules->shortest_speed},
                     {"longest_rpm", 60 * f.rules->longest_speed},
                     {"bore", f.rules->bore}};
  return j;
}

}  // namespace pulsewright::tools
