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
#include "models/boundary/merge_place.hpp"
#include "models/network/symmetry.hpp"
#include "tools/cli/part_text.hpp"
#include "tools/cli/tubes_text.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using cases::QuantityText;

std::string area_or_none(double area, const QuantityText& shown) {
  return area > 0 ? shown.area(area) : "-";
}

// An angle of a cam in deg, to a tenth: half a degree is a difference between cams.
std::string degrees_text(double angle) {
  return fmt::format("{:.4g}", std::round(10 * angle) / 10);
}

// "6.5 BBDC", as a cam card has it.
std::string event_text(double angle, double dead_centre, bool top) {
  const cases::ValveEvent event = cases::valve_event(angle, dead_centre, top);
  return fmt::format("{} {}", degrees_text(event.angle_deg), cases::dead_centre_name(event.from));
}

// "0.050 in", as lifts are spoken of.
std::string lift_text(double lift, const QuantityText& shown) {
  return shown.units() == cases::MessageUnits::inch
             ? fmt::format("{:.3f} in", cases::in_unit(lift, "in"))
             : shown.length(lift, 3);
}

std::vector<std::string> event_cells(const std::optional<cases::ValveTiming>& timing,
                                     bool exhaust) {
  if (!timing) return {"-", "-", "-"};
  return {event_text(timing->opens_deg, exhaust ? 180 : 360, !exhaust),
          event_text(timing->closes_deg, exhaust ? 360 : 540, exhaust),
          degrees_text(timing->closes_deg - timing->opens_deg)};
}

// Timing, overlap and compression by the lift from which they are counted. With tenths of a degree
// in every column it fills 80 columns, margin and heading left narrow.
std::string timing_table(const cases::EngineFigures& f, const QuantityText& shown) {
  using From = cases::TimingAtLift::From;
  TextTable table;
  table.row({"lift", "exhaust", "", "", "intake", "", "", "over-", "ratio"});
  table.row({"", "opens", "closes", "deg", "opens", "closes", "deg", "lap", ""});
  for (const cases::TimingAtLift& row : f.timing) {
    const std::string at = row.from == From::seat   ? "seat"
                           : row.from == From::lash ? "off lash"
                                                    : lift_text(row.lift, shown);
    std::vector<std::string> cells{at};
    for (const auto& cell : event_cells(row.exhaust, true)) cells.push_back(cell);
    for (const auto& cell : event_cells(row.intake, false)) cells.push_back(cell);
    cells.push_back(!row.overlap_deg        ? "-"
                    : *row.overlap_deg <= 0 ? "none"
                                            : degrees_text(*row.overlap_deg));
    cells.push_back(row.compression_ratio ? fmt::format("{:.3g}", *row.compression_ratio) : "-");
    table.row(cells);
  }
  return table.text();
}

// From which lift the rows of that table count, and which of them others mean.
std::string timing_words(const cases::CaseFile& case_file, const QuantityText& shown) {
  std::vector<std::string> cards;
  for (const auto* lobe : {&case_file.exhaust_lobe, &case_file.intake_lobe}) {
    if (!*lobe || (*lobe)->card_lifts.empty()) continue;
    std::vector<std::string> lifts;
    for (const double lift : (*lobe)->card_lifts) lifts.push_back(lift_text(lift, shown));
    const std::string text = fmt::format("{}", fmt::join(lifts, " and "));
    if (!cards.empty() && cards.back() == "at " + text) continue;
    cards.push_back("at " + text);
  }
  std::string text = fmt::format(
      "lift of the follower, of the valve where a lift table is given; ratio: dynamic compression, "
      "from where the intake closes. Cam makers mean {}, builders who compare cams {}",
      lift_text(cases::advertised_lift, shown), lift_text(cases::checking_lift, shown));
  if (!cards.empty()) text += fmt::format("; the card has figures {}", fmt::join(cards, ", "));
  return cases::wrapped("  " + text +
                            ". Seat: where the lobe begins and ends, with the ramps that the card "
                            "implies; off lash: where the valve moves, as simulated",
                        2) +
         "\n";
}

// Exhaust and intake beside each other.
std::string valve_table(const cases::EngineFigures& f, const QuantityText& shown) {
  const cases::ValveFigures& e = f.exhaust;
  const cases::ValveFigures& i = f.intake;
  TextTable table;
  table.row({"  valves", "exhaust", "intake"});
  table.row({"  lobe centerline", cases::valve_event_text(e.centerline_deg, 360, true),
             cases::valve_event_text(i.centerline_deg, 360, true)});
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

std::string overlap_text(const std::optional<double>& angle) {
  if (!angle) return "unknown";
  return *angle > 0 ? degrees_text(*angle) + " deg" : std::string("none");
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

nlohmann::json events_json(const std::optional<cases::ValveTiming>& timing) {
  if (!timing) return {};
  return {{"opens", timing->opens_deg}, {"closes", timing->closes_deg}};
}

nlohmann::json timing_json(const cases::EngineFigures& f) {
  using From = cases::TimingAtLift::From;
  auto list = nlohmann::json::array();
  for (const cases::TimingAtLift& row : f.timing) {
    list.push_back({{"from", row.from == From::seat   ? "seat"
                             : row.from == From::lash ? "less lash"
                                                      : "lift"},
                    {"lift", row.lift},
                    {"exhaust", events_json(row.exhaust)},
                    {"intake", events_json(row.intake)},
                    {"overlap", or_null(row.overlap_deg)},
                    {"compression_ratio", or_null(row.compression_ratio)}});
  }
  return list;
}

nlohmann::json valve_json(const cases::ValveFigures& v) {
  const auto checked = [&](double angle) {
    return v.checked ? nlohmann::json(angle) : nlohmann::json();
  };
  const auto c = v.checked.value_or(cases::ValveTiming{});
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
  const cases::TimingAtLift& usual = f.at_lift(cases::advertised_lift);
  out +=
      cases::wrapped(
          fmt::format(
              "compression ratio {:.4g} static, {} dynamic with the intake closing at {} "
              "of lift",
              f.compression_ratio,
              usual.compression_ratio ? fmt::format("{:.3g}", *usual.compression_ratio) : "unknown",
              lift_text(cases::advertised_lift, shown)),
          2) +
      "\n";
  out += cases::wrapped(
             fmt::format("valve overlap {} at {}, {} at {}; lobe separation {:.4g} deg",
                         overlap_text(usual.overlap_deg), lift_text(cases::advertised_lift, shown),
                         overlap_text(f.at_lift(cases::checking_lift).overlap_deg),
                         lift_text(cases::checking_lift, shown), f.lobe_separation_deg),
             2) +
         "\n";
  out += charge_text(case_file, shown);
  for (const std::string& line : intake_lines(case_file, shown)) {
    out += cases::wrapped(line, 2) + "\n";
  }
  return out + "\n" + timing_table(f, shown) + timing_words(case_file, shown) + "\n" +
         valve_table(f, shown) + "  areas of one cylinder\n";
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
  return {
      {"cylinders", case_file.engine.firing_order.size()},
      {"displacement", f.displacement},
      {"overlap", or_null(f.at(cases::TimingAtLift::From::seat).overlap_deg)},
      {"checked_overlap", or_null(f.at_lift(cases::checking_lift).overlap_deg)},
      {"timing", timing_json(f)},
      {"lobe_separation", f.lobe_separation_deg},
      {"compression_ratio", f.compression_ratio},
      {"effective_compression_ratio",
       or_null(f.at(cases::TimingAtLift::From::lash).compression_ratio)},
      {"dynamic_compression_ratio", or_null(f.at_lift(cases::advertised_lift).compression_ratio)},
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
