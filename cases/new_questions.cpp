// What `pulsewright new` asks. Over 400 lines because the questions stand beside what is usual.
#include "cases/new_questions.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {

namespace {

bool in_inch(const Answers& answers) { return given(answers, "units") == "inch"; }

std::size_t cylinders(const Answers& answers) {
  return numbers_in(given(answers, "firing_order")).size();
}

bool has_kind(const Answers& answers, std::string_view kind) {
  const auto kinds = parts_of(given(answers, "headers"));
  return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}
bool has_stepped(const Answers& answers) { return has_kind(answers, "stepped-length"); }
bool has_secondaries(const Answers& answers) {
  const auto kinds = parts_of(given(answers, "headers"));
  return std::any_of(kinds.begin(), kinds.end(), is_with_secondaries);
}
bool has_divider(const Answers& answers) { return has_kind(answers, "divided-collector"); }
bool has_durations(const Answers& answers) { return !has_events(answers); }
bool has_back_pressure(const Answers& answers) {
  return given(answers, "muffler") == "back-pressure";
}
bool has_shell(const Answers& answers) {
  return !is_none(given(answers, "muffler")) && !has_back_pressure(answers);
}
bool has_advertised(const Answers& answers) {
  return !is_none(given(answers, "exhaust_advertised")) ||
         !is_none(given(answers, "intake_advertised"));
}

// A default that depends on the units alone.
#define PULSEWRIGHT_USUAL(metric, inch) \
  [](const Answers& answers) { return std::string(in_inch(answers) ? (inch) : (metric)); }

// ---------------------------------------------------------------- sizes
//
// Ratios as two-valve race heads and street heads with four valves have them, and tubes as shops
// take them for such ports (common practice, no source). They are starting points to answer
// against.

constexpr double metres_per_inch = 0.0254;

// The answer in SI; `otherwise` if it cannot be read, which is said at its own question.
double value_of_answer(const Answers& answers, std::string_view name, Dimension dimension,
                       double otherwise) {
  try {
    return parse_quantity(given(answers, name), dimension);
  } catch (const QuantityError&) {
    return otherwise;
  }
}

double bore(const Answers& answers) {
  return value_of_answer(answers, "bore", Dimension::length, 4.03 * metres_per_inch);
}

// To a whole number of steps, in inches or millimetres.
std::string length_text(const Answers& answers, double metres, double inch_step, double mm_step) {
  const bool inches = in_inch(answers);
  const double step = inches ? inch_step : mm_step;
  const double rounded = step * std::round(metres / (inches ? metres_per_inch : 1e-3) / step);
  return fmt::format("{:.6g} {}", rounded, inches ? "in" : "mm");
}

// "1-7/8 in OD, 16 ga": the outside diameter (m) in eighths, or as metric tube is stocked.
std::string tube_text(const Answers& answers, double outside) {
  if (!in_inch(answers)) {
    constexpr std::array stock{25.0, 28.0, 30.0, 32.0, 35.0, 38.0, 42.0, 45.0,  48.0,  51.0, 54.0,
                               57.0, 60.3, 63.5, 70.0, 76.0, 82.5, 89.0, 102.0, 114.0, 127.0};
    const double wanted = outside / 1e-3;
    const double nearest = *std::min_element(stock.begin(), stock.end(), [&](double a, double b) {
      return std::abs(a - wanted) < std::abs(b - wanted);
    });
    return fmt::format("{:.6g} mm OD, 1.5 mm wall", nearest);
  }
  const int eighths = static_cast<int>(std::round(outside / metres_per_inch * 8));
  const int whole = eighths / 8, rest = eighths % 8;
  if (rest == 0) return fmt::format("{} in OD, 16 ga", whole);
  const int divisor = rest % 4 == 0 ? 4 : rest % 2 == 0 ? 2 : 1;
  return fmt::format("{}-{}/{} in OD, 16 ga", whole, rest / divisor, 8 / divisor);
}

double outside_of(const Answers& answers, std::string_view name, double otherwise) {
  try {
    const Tube tube = parse_tube(given(answers, name));
    return tube.inside_diameter + 2 * tube.wall;
  } catch (const QuantityError&) {
    return otherwise;
  }
}

double valves(const Answers& answers, std::string_view name) {
  return given(answers, name) == "2" ? 2 : 1;
}
bool is_pair(const Answers& answers, std::string_view name) { return valves(answers, name) > 1; }

std::string usual_stroke(const Answers& answers) {
  return length_text(answers, 0.8635 * bore(answers), 0.01, 0.5);
}
std::string usual_rod(const Answers& answers) {
  const double stroke =
      value_of_answer(answers, "stroke", Dimension::length, 3.48 * metres_per_inch);
  return length_text(answers, 1.724 * stroke, 0.05, 1);
}
std::string usual_exhaust_seat(const Answers& answers) {
  const double share = is_pair(answers, "exhaust_valves") ? 0.31 : 0.382;
  return length_text(answers, share * bore(answers), 0.01, 0.5);
}
std::string usual_intake_seat(const Answers& answers) {
  const double share = is_pair(answers, "intake_valves") ? 0.365 : 0.479;
  return length_text(answers, share * bore(answers), 0.01, 0.5);
}
double seat(const Answers& answers, std::string_view name) {
  return value_of_answer(answers, name, Dimension::length, 1.7 * metres_per_inch);
}
std::string usual_exhaust_lift(const Answers& answers) {
  const double share = is_pair(answers, "exhaust_valves") ? 0.40 : 0.37;
  return length_text(answers, share * seat(answers, "exhaust_seat"), 0.01, 0.5);
}
std::string usual_intake_lift(const Answers& answers) {
  const double share = is_pair(answers, "intake_valves") ? 0.34 : 0.295;
  return length_text(answers, share * seat(answers, "intake_seat"), 0.01, 0.5);
}
// Flow at 28 inH2O by the bore of all seats, to 5 cfm.
std::string flow_text(const Answers& answers, const std::string& valve, double per_square_inch) {
  const double diameter = seat(answers, valve + "_seat") / metres_per_inch;
  const double flow = per_square_inch * diameter * diameter * valves(answers, valve + "_valves");
  return fmt::format("{:.0f} cfm", 5 * std::round(flow / 5));
}
std::string usual_exhaust_flow(const Answers& answers) {
  return flow_text(answers, "exhaust", 90.65);
}
std::string usual_intake_flow(const Answers& answers) { return flow_text(answers, "intake", 77.9); }
std::string flow_lift(const Answers& answers, std::string_view lift) {
  return length_text(
      answers, 1.05 * value_of_answer(answers, lift, Dimension::length, 0.57 * metres_per_inch),
      0.01, 0.5);
}
std::string usual_exhaust_flow_lift(const Answers& answers) {
  return flow_lift(answers, "exhaust_lift");
}
std::string usual_intake_flow_lift(const Answers& answers) {
  return flow_lift(answers, "intake_lift");
}
std::string usual_runner(const Answers& answers) {
  return length_text(
      answers, 1.036 * seat(answers, "intake_seat") * std::sqrt(valves(answers, "intake_valves")),
      0.05, 1);
}
std::string usual_port(const Answers& answers) {
  return length_text(
      answers, 1.04 * seat(answers, "exhaust_seat") * std::sqrt(valves(answers, "exhaust_valves")),
      0.05, 1);
}
// A little wider than the port.
std::string usual_primary(const Answers& answers) {
  const double port =
      value_of_answer(answers, "port_diameter", Dimension::length, 1.6 * metres_per_inch);
  return tube_text(answers, 1.085 * port + 2 * 0.065 * metres_per_inch);
}
double primary_outside(const Answers& answers) {
  return outside_of(answers, "primary_tube", 1.875 * metres_per_inch);
}
std::string usual_secondary(const Answers& answers) {
  return tube_text(answers, 1.2 * primary_outside(answers));
}
// By the share of the tubes' area, as cases/likely_check.cpp has it.
std::string usual_collector(const Answers& answers) {
  const std::size_t banks = is_none(given(answers, "left_bank")) ? 1 : 2;
  const double tubes = static_cast<double>(cylinders(answers)) / static_cast<double>(banks);
  return tube_text(answers, 0.933 * std::sqrt(std::max(2.0, tubes)) * primary_outside(answers));
}
std::string usual_shell(const Answers& answers) {
  const std::string_view tube = !has_collector(answers) ? "primary_tube"
                                : has_tail(answers)     ? "tail_tube"
                                                        : "collector_tube";
  return length_text(answers, 1.75 * outside_of(answers, tube, 3 * metres_per_inch), 0.5, 10);
}

double displacement(const Answers& answers) {  // m3
  const double stroke =
      value_of_answer(answers, "stroke", Dimension::length, 3.48 * metres_per_inch);
  return models::circle_area(bore(answers)) * stroke * static_cast<double>(cylinders(answers));
}
std::string usual_plenum(const Answers& answers) {
  const double volume = 0.7 * displacement(answers);
  return in_inch(answers) ? fmt::format("{:.0f} in3", 5 * std::round(volume / 8.1935e-5))
                          : fmt::format("{:.1f} L", volume / 1e-3);
}
// What the engine draws at its highest speed with full cylinders.
std::string usual_throttle(const Answers& answers) {
  const double speed = value_of_answer(answers, "highest_speed", Dimension::rotation, 125);
  const double cfm = displacement(answers) * speed / 2 / (0.3048 * 0.3048 * 0.3048) * 60;
  return fmt::format("{:.0f} cfm", 10 * std::ceil(cfm / 10));
}

std::string usual_left_bank(const Answers& answers) {
  const std::size_t n = cylinders(answers);
  if (n < 8 || n % 2 == 1) return "none";
  std::string odd;
  for (std::size_t i = 1; i <= n; i += 2) odd += (odd.empty() ? "" : " ") + std::to_string(i);
  return odd;
}

// A share of the way from the lowest to the highest speed, to 250 rpm.
std::string speed_within(const Answers& answers, double share) {
  try {
    const double low = 60 * parse_quantity(given(answers, "lowest_speed"), Dimension::rotation);
    const double high = 60 * parse_quantity(given(answers, "highest_speed"), Dimension::rotation);
    return fmt::format("{:.0f} rpm", 250 * std::round((low + share * (high - low)) / 250));
  } catch (const QuantityError&) {
    return "5000 rpm";  // the answer before this one is refused anyway
  }
}

// Where the banks fire in turn, the tubes of a 180-degree header cross nothing.
std::string usual_headers(const Answers& answers) {
  const auto order = numbers_in(given(answers, "firing_order"));
  const auto left = numbers_in(given(answers, "left_bank"));
  const auto is_left = [&](const std::string& n) {
    return std::find(left.begin(), left.end(), n) != left.end();
  };
  bool in_turn = true;
  for (std::size_t i = 0; i < order.size(); ++i) {
    in_turn = in_turn && is_left(order[i]) != is_left(order[(i + 1) % order.size()]);
  }
  return left.empty() || in_turn ? "equal-length" : "equal-length, 180-degree";
}

constexpr std::array all_questions{
    Question{"units", "", "Units", "inch or metric: what the questions below take for usual.",
             [](const Answers&) { return std::string("inch"); }},
    Question{"title", "title", "Name of the case", "One line that tables and reports show.",
             [](const Answers&) { return std::string("My engine"); }},
    Question{"firing_order", "engine.firing_order", "Firing order",
             "Cylinder numbers in the order they fire; a single is 1.",
             [](const Answers&) { return std::string("1-8-4-3-6-5-7-2"); }},
    Question{"intervals", "engine.intervals", "Firing intervals",
             "even, or the crank angles from each firing to the next in deg: 270, 450.",
             [](const Answers&) { return std::string("even"); }},
    Question{"left_bank", "engine.banks", "Cylinders of the left bank",
             "Their numbers, or none for an engine in line; the others are the right bank.",
             usual_left_bank},
    Question{"bore", "engine.bore", "Bore", "Diameter of a cylinder.",
             PULSEWRIGHT_USUAL("102 mm", "4.030 in")},
    Question{"stroke", "engine.stroke", "Stroke", "Twice the throw of the crank.", usual_stroke},
    Question{"rod", "engine.rod", "Connecting rod", "Length between centres.", usual_rod},
    Question{"compression_ratio", "engine.compression_ratio", "Compression ratio",
             "Static: 11.5 or 11.5:1.", [](const Answers&) { return std::string("11"); }},
    Question{"fuel", "combustion.fuel", "Fuel",
             "pump-petrol, race-petrol, e10, e85, ethanol or methanol.",
             [](const Answers&) { return std::string("pump-petrol"); }},

    Question{"lowest_speed", "run.from", "Lowest speed", "Of the curves.",
             [](const Answers&) { return std::string("3000 rpm"); }},
    Question{"highest_speed", "run.to", "Highest speed", "Of the curves.",
             [](const Answers&) { return std::string("7500 rpm"); }},
    Question{"band_from", "run.band_from", "Band: from",
             "The speeds that the engine lives in: headers are judged over them.",
             [](const Answers& answers) { return speed_within(answers, 1.0 / 3); }},
    Question{"band_to", "run.band_to", "Band: to", "Upper end of the band.",
             [](const Answers& answers) { return speed_within(answers, 8.0 / 9); }},

    Question{"altitude", "ambient.altitude", "Altitude",
             "Height above the sea: the air is that of the standard atmosphere there.",
             PULSEWRIGHT_USUAL("0 m", "0 ft")},
    Question{"air_temperature", "ambient.temperature", "Temperature of the air",
             "Outside, as the engine draws it.", PULSEWRIGHT_USUAL("20 degC", "68 degF")},
    Question{"humidity", "ambient.relative_humidity", "Relative humidity",
             "Water vapour takes the place of air; 0 % leaves it out.",
             [](const Answers&) { return std::string("0 %"); }},

    Question{"cam_card", "", "How the card gives the cam",
             "durations with the lobe separation, or events: opening and closing.",
             [](const Answers&) { return std::string("durations"); }},
    Question{"lobe_separation", "cam.lobe_separation", "Lobe separation",
             "From the cam card, in degrees of the camshaft.",
             [](const Answers&) { return std::string("108 deg"); }, has_durations},
    Question{"intake_centerline", "cam.intake_centerline", "Intake centerline",
             "As the cam is fitted: lobe separation less the advance.",
             [](const Answers&) { return std::string("106 deg ATDC"); }, has_durations},
    Question{"checking_lift", "exhaust_valve.cam.checking_lift", "Checking lift",
             "Lift of the follower at which the card gives durations or events.",
             PULSEWRIGHT_USUAL("1 mm", "0.050 in")},
    Question{"rocker_ratio", "exhaust_valve.cam.rocker_ratio", "Rocker ratio",
             "Valve lift over lift of the follower; 1 where the cam sits on the valve.",
             [](const Answers&) { return std::string("1.6"); }},
    Question{"followers", "exhaust_valve.cam.follower", "Followers",
             "hydraulic, or solid with a lash.",
             [](const Answers&) { return std::string("hydraulic"); }},

    Question{"exhaust_duration", "exhaust_valve.cam.duration", "Exhaust duration",
             "At the checking lift, from the cam card.", PULSEWRIGHT_USUAL("246 deg", "252 deg"),
             has_durations},
    Question{"exhaust_opens", "exhaust_valve.cam.opens", "Exhaust opens",
             "At the checking lift, BBDC.",
             [](const Answers&) { return std::string("54 deg BBDC"); }, has_events},
    Question{"exhaust_closes", "exhaust_valve.cam.closes", "Exhaust closes",
             "At the checking lift, ATDC; with BTDC if before.",
             [](const Answers&) { return std::string("18 deg ATDC"); }, has_events},
    Question{"exhaust_advertised", "exhaust_valve.cam.advertised_duration",
             "Exhaust duration as advertised",
             "With it the ramps of the lobe are known; none if the card lacks it.",
             [](const Answers&) { return std::string("none"); }, nullptr,
             [](const Answers&) { return std::string("300 deg"); }},
    Question{"exhaust_valves", "exhaust_valve.count", "Exhaust valves of a cylinder", "1 or 2.",
             [](const Answers&) { return std::string("1"); }},
    Question{"exhaust_seat", "exhaust_valve.seat_diameter", "Exhaust valve seat",
             "Inner diameter of the seat, a little less than the valve.", usual_exhaust_seat},
    Question{"exhaust_lift", "exhaust_valve.cam.lift", "Exhaust lift",
             "At the valve, lash not yet taken off.", usual_exhaust_lift},
    Question{"exhaust_lash", "exhaust_valve.cam.lash", "Exhaust lash", "Clearance, running.",
             PULSEWRIGHT_USUAL("0.40 mm", "0.016 in"), has_solid_lifters},
    Question{"exhaust_flow", "exhaust_valve.flow.forward", "Exhaust flow",
             "Best figure of the flow bench; add more points to the file if you have them.",
             usual_exhaust_flow},
    Question{"exhaust_flow_lift", "exhaust_valve.flow.lift", "Lift of that flow",
             "Valve lift at which the port flowed it.", usual_exhaust_flow_lift},

    Question{"intake_duration", "intake_valve.cam.duration", "Intake duration",
             "At the checking lift, from the cam card.", PULSEWRIGHT_USUAL("242 deg", "248 deg"),
             has_durations},
    Question{"intake_opens", "intake_valve.cam.opens", "Intake opens",
             "At the checking lift, BTDC; with ATDC if after.",
             [](const Answers&) { return std::string("18 deg BTDC"); }, has_events},
    Question{"intake_closes", "intake_valve.cam.closes", "Intake closes",
             "At the checking lift, ABDC.",
             [](const Answers&) { return std::string("50 deg ABDC"); }, has_events},
    Question{"intake_advertised", "intake_valve.cam.advertised_duration",
             "Intake duration as advertised", "Likewise, or none.",
             [](const Answers&) { return std::string("none"); }, nullptr,
             [](const Answers&) { return std::string("296 deg"); }},
    Question{"advertised_lift", "exhaust_valve.cam.advertised_lift",
             "Lift of the follower at the advertised durations",
             "Often 0.006 in with hydraulic followers, 0.020 in with solid ones.",
             [](const Answers& answers) {
               return std::string(has_solid_lifters(answers) ? "0.020 in" : "0.006 in");
             },
             has_advertised},
    Question{"intake_valves", "intake_valve.count", "Intake valves of a cylinder", "1 or 2.",
             [](const Answers&) { return std::string("1"); }},
    Question{"intake_seat", "intake_valve.seat_diameter", "Intake valve seat",
             "Inner diameter of the seat, a little less than the valve.", usual_intake_seat},
    Question{"intake_lift", "intake_valve.cam.lift", "Intake lift",
             "At the valve, lash not yet taken off.", usual_intake_lift},
    Question{"intake_lash", "intake_valve.cam.lash", "Intake lash", "Clearance, running.",
             PULSEWRIGHT_USUAL("0.35 mm", "0.014 in"), has_solid_lifters},
    Question{"intake_flow", "intake_valve.flow.forward", "Intake flow",
             "Best figure of the flow bench.", usual_intake_flow},
    Question{"intake_flow_lift", "intake_valve.flow.lift", "Lift of that flow",
             "Valve lift at which the port flowed it.", usual_intake_flow_lift},
    Question{"depression", "exhaust_valve.flow.depression", "Test pressure of the flow bench",
             "28 inH2O on most; any is converted.",
             [](const Answers&) { return std::string("28 inH2O"); }},

    Question{"runners_from", "intake.source", "Runners draw from",
             "atmosphere, each by itself, or plenum behind a throttle body or carburettor.",
             [](const Answers&) { return std::string("atmosphere"); }},
    Question{"plenum_volume", "intake.plenum_volume", "Plenum", "Its volume, without the runners.",
             usual_plenum, has_plenum},
    Question{"throttle_flow", "intake.throttle_flow", "Throttle body or carburettor",
             "Its rated flow, all barrels together.", usual_throttle, has_plenum},
    Question{"throttle_drop", "intake.throttle_drop", "Pressure drop of that rating",
             "1.5 inHg of four barrels, 3.0 inHg of two; 28 inH2O of a flow bench.",
             [](const Answers&) { return std::string("1.5 inHg"); }, has_plenum},
    Question{"runner_length", "intake.length", "Intake runner",
             "Length from its open entry to the valve, port in the head included.",
             PULSEWRIGHT_USUAL("290 mm", "11.5 in")},
    Question{"runner_diameter", "intake.entry_diameter",
             "Intake runner, inside diameter at the entry",
             "Behind the bellmouth, or at the plenum.", usual_runner},
    Question{"port_length", "exhaust.port_length", "Exhaust port in the head",
             "Length from the valve to the flange.", PULSEWRIGHT_USUAL("75 mm", "3 in")},
    Question{"port_diameter", "exhaust.port_diameter", "Exhaust port at the flange",
             "Diameter of the circle of the same area.", usual_port},

    Question{"headers", "header.kind", "Headers to compare",
             "Kinds, with commas: equal-length, 180-degree, stepped-length, 4-2-1 ...",
             usual_headers, has_collector},
    Question{"primary_tube", "header.primary_tube", "Primary tube",
             "Outside diameter and gauge or wall.", usual_primary},
    Question{"primary_length", "header.primary_length", "Primary length",
             "Centreline from the flange to where the tubes first meet.",
             PULSEWRIGHT_USUAL("810 mm", "32 in")},
    Question{"shortest", "header.shortest", "Stepped lengths: shortest primary",
             "Of the cylinder that leads the two that fire closest.",
             PULSEWRIGHT_USUAL("710 mm", "28 in"), has_stepped},
    Question{"longest", "header.longest", "Stepped lengths: longest primary",
             "Of the one that trails.", PULSEWRIGHT_USUAL("860 mm", "34 in"), has_stepped},
    Question{"secondary_tube", "header.secondary_tube", "Secondary tube",
             "Outside diameter and gauge or wall.", usual_secondary, has_secondaries},
    Question{"secondary_length", "header.secondary_length", "Secondary length",
             "From the crotch of its primaries to that of its own merge.",
             PULSEWRIGHT_USUAL("400 mm", "16 in"), has_secondaries},
    Question{"divider_length", "header.divider_length", "Divider in the collector",
             "Length of its wall, from where the tubes first meet.",
             PULSEWRIGHT_USUAL("150 mm", "6 in"), has_divider},
    Question{"collector_tube", "header.collector_tube", "Collector tube",
             "Outside diameter and gauge or wall.", usual_collector, has_collector},
    Question{"collector_length", "header.collector_length", "Collector length",
             "From where the tubes first meet to its end.", PULSEWRIGHT_USUAL("400 mm", "16 in"),
             has_collector},
    Question{"tail_tube", "header.tail_tube", "Tail tube behind the collector",
             "Outside diameter and gauge, or none: the collector ends open.",
             [](const Answers&) { return std::string("none"); }, has_collector,
             PULSEWRIGHT_USUAL("76 mm OD, 1.5 mm wall", "3 in OD, 16 ga")},
    Question{"tail_length", "header.tail_length", "Tail length", "Its cone included.",
             PULSEWRIGHT_USUAL("500 mm", "20 in"),
             [](const Answers& answers) { return has_collector(answers) && has_tail(answers); }},

    Question{"muffler", "header.part.kind", "Muffler behind each collector",
             "none, straight-through, chambered, or back-pressure measured at a flow.",
             [](const Answers&) { return std::string("none"); }},
    Question{"muffler_length", "header.part.length", "Muffler, length",
             "Of its shell, without the tubes.", PULSEWRIGHT_USUAL("350 mm", "14 in"), has_shell},
    Question{"muffler_diameter", "header.part.diameter", "Muffler, inside diameter",
             "Of its shell; the circle of the same area.", usual_shell, has_shell},
    Question{"muffler_outlet", "", "Tube behind the muffler", "Its length, in the bore before.",
             PULSEWRIGHT_USUAL("300 mm", "12 in"), has_shell},
    Question{"back_pressure", "header.part.pressure", "Back pressure",
             "Above the air outside, of one collector.", PULSEWRIGHT_USUAL("14 kPa", "2 psi"),
             has_back_pressure},
    Question{"back_pressure_flow", "header.part.volume_flow", "Flow at that back pressure",
             "Of air, as on a flow bench.", [](const Answers&) { return std::string("400 cfm"); },
             has_back_pressure},
};
#undef PULSEWRIGHT_USUAL

// The row of the parameter table that a question fills; null if there is none of its own.
const Parameter* parameter_of(const Question& question) {
  if (question.key.empty()) return nullptr;
  const std::size_t dot = question.key.rfind('.');
  if (dot == std::string_view::npos) return find_parameter("", question.key);
  std::string section(question.key.substr(0, dot));
  const std::size_t valve = section.find("_valve");  // both have one section
  if (valve != std::string::npos) section = section.substr(valve + 1);
  return find_parameter(section, question.key.substr(dot + 1));
}

std::string_view last_word(std::string_view text) { return text.substr(text.rfind(' ') + 1); }

bool is_dead_centre(std::string_view word) {
  return word == "BTDC" || word == "ATDC" || word == "BBDC" || word == "ABDC";
}

// Of both valves together: asked once, at the key of the exhaust valve.
bool is_of_both_valves(const Question& question) {
  return question.key.starts_with("exhaust_valve.") && !question.name.starts_with("exhaust_");
}

// Whether the word stands in the text at `at` by itself.
bool is_word(std::string_view text, std::size_t at, std::size_t size) {
  const auto part = [&](std::size_t i) {
    return i < text.size() && (std::isalnum(static_cast<unsigned char>(text[i])) != 0 ||
                               text[i] == '_' || text[i] == '.');
  };
  return (at == 0 || !part(at - 1)) && !part(at + size);
}

// Keys in a text by the words of their questions; those of `valve` first.
std::string without_keys(std::string text, std::string_view valve) {
  for (const bool own : {true, false}) {
    for (const Question& question : questions()) {
      const std::size_t dot = question.key.rfind('.');
      if (dot == std::string_view::npos || (own && !question.key.starts_with(valve))) continue;
      const std::string_view key = question.key.substr(dot + 1);
      if (key.find('_') == std::string_view::npos) continue;
      std::string words(question.words);
      words.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(words.front())));
      for (std::size_t at = text.find(key); at != std::string::npos;
           at = text.find(key, at + words.size())) {
        if (is_word(text, at, key.size())) text.replace(at, key.size(), words);
      }
    }
  }
  return text;
}

}  // namespace

std::span<const Question> questions() { return all_questions; }

const Question* find_question(std::string_view name) {
  const auto* found = std::find_if(all_questions.begin(), all_questions.end(),
                                   [&](const Question& q) { return q.name == name; });
  return found == all_questions.end() ? nullptr : found;
}

bool is_about(const Question& question, std::string_view problem_key) {
  if (question.key.empty()) return false;
  std::string key(problem_key);
  if (is_of_both_valves(question) && key.starts_with("intake_valve.")) {
    key.replace(0, std::string_view("intake").size(), "exhaust");
  }
  if (key.ends_with(".timing_lift")) key = "exhaust_valve.cam.checking_lift";
  // "header[2].primary_tube" is about "header.primary_tube", "engine.banks.left" about
  // "engine.banks".
  while (true) {
    const std::size_t begin = key.find('[');
    const std::size_t end = key.find(']', begin);
    if (begin == std::string::npos || end == std::string::npos) break;
    key.erase(begin, end + 1 - begin);
  }
  return key == question.key || (key.size() > question.key.size() &&
                                 key.starts_with(question.key) && key[question.key.size()] == '.');
}

std::string answer_of(const Answers& answers, const Question& question) {
  const auto found = answers.find(question.name);
  return found == answers.end() ? question.usual(answers) : found->second;
}

std::string given(const Answers& answers, std::string_view name) {
  return answer_of(answers, *find_question(name));
}

std::string completed_answer(const Answers& answers, const Question& question,
                             std::string_view answer) {
  const Parameter* parameter = parameter_of(question);
  const std::string form = question.form ? question.form(answers) : question.usual(answers);
  const std::size_t number = length_of_number(answer);
  const std::size_t form_number = length_of_number(form);
  if (number == 0 || form_number == 0) return std::string(answer);
  if (parameter != nullptr && parameter->kind != ValueKind::quantity &&
      parameter->kind != ValueKind::quantities && parameter->kind != ValueKind::number &&
      parameter->kind != ValueKind::tube && parameter->kind != ValueKind::valve_event) {
    return std::string(answer);
  }
  if (number == answer.size()) return std::string(answer) + form.substr(form_number);
  if (parameter == nullptr) return std::string(answer);
  if (parameter->kind == ValueKind::valve_event && !is_dead_centre(last_word(answer))) {
    return fmt::format("{} {}", answer, last_word(form));
  }
  const std::size_t outside = form.find("OD");
  // Neither OD, ID, gauge nor wall behind the diameter.
  const bool diameter = answer.find_first_of("ODdgwx,", number) == std::string_view::npos;
  if (parameter->kind == ValueKind::tube && outside != std::string::npos && diameter) {
    return fmt::format("{} {}", answer, form.substr(outside));
  }
  return std::string(answer);
}

std::vector<std::string> choices_of(const Question& question) {
  if (question.name == "units") return {"inch", "metric"};
  if (question.name == "cam_card") return {"durations", "events"};
  return {};
}

Problem in_words(const Problem& problem, const Question& question, const Answers& answers) {
  Problem said = problem;
  const std::string_view valve =
      problem.key.starts_with("intake_valve") ? "intake_valve" : "exhaust_valve";
  said.message = without_keys(problem.message, valve);
  const bool example = problem.advice.starts_with("for example") || problem.advice.empty();
  const std::string form = question.form ? question.form(answers) : question.usual(answers);
  said.advice = example ? "for example: " + form : without_keys(problem.advice, valve);
  return said;
}

bool is_none(std::string_view text) { return text.empty() || text == "none"; }

std::vector<std::string> numbers_in(std::string_view text) {
  std::vector<std::string> numbers;
  bool within = false;
  for (const char c : text) {
    const bool digit = std::isdigit(static_cast<unsigned char>(c)) != 0;
    if (digit && !within) numbers.emplace_back();
    if (digit) numbers.back() += c;
    within = digit;
  }
  return numbers;
}

std::vector<std::string> parts_of(std::string_view text) {
  std::vector<std::string> parts;
  while (true) {
    const std::size_t comma = text.find(',');
    std::string_view part = text.substr(0, comma);
    while (!part.empty() && part.front() == ' ') part.remove_prefix(1);
    while (!part.empty() && part.back() == ' ') part.remove_suffix(1);
    if (!part.empty()) parts.emplace_back(part);
    if (comma == std::string_view::npos) return parts;
    text.remove_prefix(comma + 1);
  }
}

bool has_collector(const Answers& answers) { return cylinders(answers) > 1; }
bool has_tail(const Answers& answers) { return !is_none(given(answers, "tail_tube")); }
bool has_solid_lifters(const Answers& answers) { return given(answers, "followers") == "solid"; }
bool has_events(const Answers& answers) { return given(answers, "cam_card") == "events"; }
bool has_plenum(const Answers& answers) { return given(answers, "runners_from") == "plenum"; }
bool is_with_secondaries(std::string_view kind) {
  return kind == "4-2-1" || kind == "6-2-1" || kind == "6-3-1";
}

}  // namespace pulsewright::cases
