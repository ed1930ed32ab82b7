// Over 400 lines because the questions stand beside the text that is made of their answers.
#include "cases/new_case.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

namespace {

std::string given(const Answers& answers, std::string_view name) {
  return answer_of(answers, *find_question(name));
}

bool in_inch(const Answers& answers) { return given(answers, "units") == "inch"; }

bool is_none(std::string_view text) { return text.empty() || text == "none"; }

// The numbers in a text, whatever stands between them: 1-8-4-3, "1, 8, 4, 3".
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

// Parts between commas, without spaces round them.
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

std::size_t cylinders(const Answers& answers) {
  return numbers_in(given(answers, "firing_order")).size();
}

bool has_collector(const Answers& answers) { return cylinders(answers) > 1; }

bool has_kind(const Answers& answers, std::string_view kind) {
  const auto kinds = parts_of(given(answers, "headers"));
  return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}
bool has_stepped(const Answers& answers) { return has_kind(answers, "stepped-length"); }
bool is_with_secondaries(std::string_view kind) {
  return kind == "4-2-1" || kind == "6-2-1" || kind == "6-3-1";
}
bool has_secondaries(const Answers& answers) {
  const auto kinds = parts_of(given(answers, "headers"));
  return std::any_of(kinds.begin(), kinds.end(), is_with_secondaries);
}
bool has_divider(const Answers& answers) { return has_kind(answers, "divided-collector"); }
bool has_tail(const Answers& answers) { return !is_none(given(answers, "tail_tube")); }
bool has_advertised(const Answers& answers) {
  return !is_none(given(answers, "exhaust_advertised")) ||
         !is_none(given(answers, "intake_advertised"));
}
bool has_solid_lifters(const Answers& answers) { return given(answers, "followers") == "solid"; }

// A default that depends on the units alone.
#define PULSEWRIGHT_USUAL(metric, inch) \
  [](const Answers& answers) { return std::string(in_inch(answers) ? (inch) : (metric)); }

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

std::string usual_headers(const Answers& answers) {
  return is_none(given(answers, "left_bank")) ? "equal-length" : "equal-length, 180-degree";
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
    Question{"stroke", "engine.stroke", "Stroke", "Twice the throw of the crank.",
             PULSEWRIGHT_USUAL("76.5 mm", "3.48 in")},
    Question{"rod", "engine.rod", "Connecting rod", "Length between centres.",
             PULSEWRIGHT_USUAL("150 mm", "6.0 in")},
    Question{"compression_ratio", "engine.compression_ratio", "Compression ratio",
             "Static, as a plain number: 11.5.", [](const Answers&) { return std::string("11"); }},
    Question{"fuel", "combustion.fuel", "Fuel",
             "pump-petrol, race-petrol, e10, e85, ethanol or methanol.",
             [](const Answers&) { return std::string("pump-petrol"); }},

    Question{"lobe_separation", "cam.lobe_separation", "Lobe separation",
             "From the cam card, in degrees of the camshaft.",
             [](const Answers&) { return std::string("108 deg"); }},
    Question{"intake_centerline", "cam.intake_centerline", "Intake centerline",
             "As the cam is fitted: lobe separation less the advance.",
             [](const Answers&) { return std::string("106 deg ATDC"); }},
    Question{"checking_lift", "exhaust_valve.cam.checking_lift", "Checking lift",
             "Lift of the follower at which the card gives the durations below.",
             PULSEWRIGHT_USUAL("1 mm", "0.050 in")},
    Question{"rocker_ratio", "exhaust_valve.cam.rocker_ratio", "Rocker ratio",
             "Valve lift over lift of the follower; 1 where the cam sits on the valve.",
             [](const Answers&) { return std::string("1.6"); }},
    Question{"followers", "exhaust_valve.cam.follower", "Followers",
             "hydraulic, or solid with a lash.",
             [](const Answers&) { return std::string("hydraulic"); }},

    Question{"exhaust_duration", "exhaust_valve.cam.duration", "Exhaust duration",
             "At the checking lift, from the cam card.",
             [](const Answers&) { return std::string("252 deg"); }},
    Question{"exhaust_advertised", "exhaust_valve.cam.advertised_duration",
             "Exhaust duration as advertised",
             "With it the ramps of the lobe are known; none if the card lacks it.",
             [](const Answers&) { return std::string("none"); }},
    Question{"exhaust_lift", "exhaust_valve.cam.lift", "Exhaust lift",
             "At the valve, lash not yet taken off.", PULSEWRIGHT_USUAL("14.5 mm", "0.570 in")},
    Question{"exhaust_lash", "exhaust_valve.cam.lash", "Exhaust lash", "Clearance, running.",
             PULSEWRIGHT_USUAL("0.40 mm", "0.016 in"), has_solid_lifters},
    Question{"exhaust_valves", "exhaust_valve.count", "Exhaust valves of a cylinder", "1 or 2.",
             [](const Answers&) { return std::string("1"); }},
    Question{"exhaust_seat", "exhaust_valve.seat_diameter", "Exhaust valve seat",
             "Inner diameter of the seat, a little less than the valve.",
             PULSEWRIGHT_USUAL("39 mm", "1.54 in")},
    Question{"exhaust_flow", "exhaust_valve.flow.forward", "Exhaust flow",
             "Best figure of the flow bench; add more points to the file if you have them.",
             [](const Answers&) { return std::string("215 cfm"); }},
    Question{"exhaust_flow_lift", "exhaust_valve.flow.lift", "Lift of that flow",
             "Valve lift at which the port flowed it.", PULSEWRIGHT_USUAL("15 mm", "0.600 in")},

    Question{"intake_duration", "intake_valve.cam.duration", "Intake duration",
             "At the checking lift, from the cam card.",
             [](const Answers&) { return std::string("248 deg"); }},
    Question{"intake_advertised", "intake_valve.cam.advertised_duration",
             "Intake duration as advertised", "Likewise, or none.",
             [](const Answers&) { return std::string("none"); }},
    Question{"advertised_lift", "exhaust_valve.cam.advertised_lift",
             "Lift of the follower at the advertised durations",
             "Often 0.006 in with hydraulic followers, 0.020 in with solid ones.",
             [](const Answers& answers) {
               return std::string(has_solid_lifters(answers) ? "0.020 in" : "0.006 in");
             },
             has_advertised},
    Question{"intake_lift", "intake_valve.cam.lift", "Intake lift",
             "At the valve, lash not yet taken off.", PULSEWRIGHT_USUAL("14.5 mm", "0.570 in")},
    Question{"intake_lash", "intake_valve.cam.lash", "Intake lash", "Clearance, running.",
             PULSEWRIGHT_USUAL("0.35 mm", "0.014 in"), has_solid_lifters},
    Question{"intake_valves", "intake_valve.count", "Intake valves of a cylinder", "1 or 2.",
             [](const Answers&) { return std::string("1"); }},
    Question{"intake_seat", "intake_valve.seat_diameter", "Intake valve seat",
             "Inner diameter of the seat, a little less than the valve.",
             PULSEWRIGHT_USUAL("49 mm", "1.93 in")},
    Question{"intake_flow", "intake_valve.flow.forward", "Intake flow",
             "Best figure of the flow bench.",
             [](const Answers&) { return std::string("290 cfm"); }},
    Question{"intake_flow_lift", "intake_valve.flow.lift", "Lift of that flow",
             "Valve lift at which the port flowed it.", PULSEWRIGHT_USUAL("15 mm", "0.600 in")},
    Question{"depression", "exhaust_valve.flow.depression", "Test pressure of the flow bench",
             "28 inH2O on most; any is converted.",
             [](const Answers&) { return std::string("28 inH2O"); }},

    Question{"runner_length", "intake.length", "Intake runner",
             "Length from its open entry to the valve, port in the head included.",
             PULSEWRIGHT_USUAL("290 mm", "11.5 in")},
    Question{"runner_diameter", "intake.entry_diameter",
             "Intake runner, inside diameter at the entry",
             "Behind the bellmouth, or at the plenum.", PULSEWRIGHT_USUAL("50 mm", "2 in")},
    Question{"port_length", "exhaust.port_length", "Exhaust port in the head",
             "Length from the valve to the flange.", PULSEWRIGHT_USUAL("75 mm", "3 in")},
    Question{"port_diameter", "exhaust.port_diameter", "Exhaust port at the flange",
             "Diameter of the circle of the same area.", PULSEWRIGHT_USUAL("40 mm", "1.6 in")},

    Question{"headers", "header.kind", "Headers to compare",
             "Kinds, with commas: equal-length, 180-degree, stepped-length, 4-2-1, ...",
             usual_headers, has_collector},
    Question{"primary_tube", "header.primary_tube", "Primary tube",
             "Outside diameter and gauge or wall.",
             PULSEWRIGHT_USUAL("48 mm OD, 1.5 mm wall", "1-7/8 in OD, 16 ga")},
    Question{"primary_length", "header.primary_length", "Primary length",
             "Centreline from the flange to where the tubes first meet.",
             PULSEWRIGHT_USUAL("810 mm", "32 in")},
    Question{"shortest", "header.shortest", "Stepped lengths: shortest primary",
             "Of the cylinder that leads the two that fire closest.",
             PULSEWRIGHT_USUAL("710 mm", "28 in"), has_stepped},
    Question{"longest", "header.longest", "Stepped lengths: longest primary",
             "Of the one that trails.", PULSEWRIGHT_USUAL("860 mm", "34 in"), has_stepped},
    Question{"secondary_tube", "header.secondary_tube", "Secondary tube",
             "Outside diameter and gauge or wall.",
             PULSEWRIGHT_USUAL("57 mm OD, 1.5 mm wall", "2-1/4 in OD, 16 ga"), has_secondaries},
    Question{"secondary_length", "header.secondary_length", "Secondary length",
             "From the crotch of its primaries to that of its own merge.",
             PULSEWRIGHT_USUAL("400 mm", "16 in"), has_secondaries},
    Question{"divider_length", "header.divider_length", "Divider in the collector",
             "Length of its wall, from where the tubes first meet.",
             PULSEWRIGHT_USUAL("150 mm", "6 in"), has_divider},
    Question{"collector_tube", "header.collector_tube", "Collector tube",
             "Outside diameter and gauge or wall.",
             PULSEWRIGHT_USUAL("89 mm OD, 1.5 mm wall", "3-1/2 in OD, 16 ga"), has_collector},
    Question{"collector_length", "header.collector_length", "Collector length",
             "From where the tubes first meet to its end.", PULSEWRIGHT_USUAL("400 mm", "16 in"),
             has_collector},
    Question{"tail_tube", "header.tail_tube", "Tail tube behind the collector",
             "Outside diameter and gauge, or none: the collector ends open.",
             [](const Answers&) { return std::string("none"); }, has_collector},
    Question{"tail_length", "header.tail_length", "Tail length", "Its cone included.",
             PULSEWRIGHT_USUAL("500 mm", "20 in"),
             [](const Answers& answers) { return has_collector(answers) && has_tail(answers); }},

    Question{"lowest_speed", "run.from", "Lowest speed", "Of the curves.",
             [](const Answers&) { return std::string("3000 rpm"); }},
    Question{"highest_speed", "run.to", "Highest speed", "Of the curves.",
             [](const Answers&) { return std::string("7500 rpm"); }},
    Question{"band_from", "run.band_from", "Band: from",
             "The speeds that the engine lives in: headers are judged over them.",
             [](const Answers& answers) { return speed_within(answers, 1.0 / 3); }},
    Question{"band_to", "run.band_to", "Band: to", "Upper end of the band.",
             [](const Answers& answers) { return speed_within(answers, 8.0 / 9); }},
};
#undef PULSEWRIGHT_USUAL

// From one speed to the next: 250 rpm, or the largest of less, in steps of 5 rpm, that ends at the
// highest speed.
std::string step_of(const Answers& answers) {
  try {
    const double span = 60 * (parse_quantity(given(answers, "highest_speed"), Dimension::rotation) -
                              parse_quantity(given(answers, "lowest_speed"), Dimension::rotation));
    for (int step = 250; step >= 50; step -= 5) {
      const double steps = span / step;
      if (std::abs(steps - std::round(steps)) < 1e-6) return fmt::format("{} rpm", step);
    }
  } catch (const QuantityError&) {
    // The reader says it at the speed itself.
  }
  return "250 rpm";
}

// A text as TOML writes it.
std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
    } else {
      out += c;
    }
  }
  return out + '"';
}

// A plain number as it is; anything else as a text, which the reader then refuses at its key.
std::string number(const std::string& text) {
  const bool plain = !text.empty() && std::isdigit(static_cast<unsigned char>(text.front())) != 0 &&
                     text.find_first_not_of("0123456789.") == std::string::npos &&
                     std::count(text.begin(), text.end(), '.') <= 1 && text.back() != '.' &&
                     (text.size() == 1 || text[0] != '0' || text[1] == '.');
  return plain ? text : toml_text(text);
}

std::string number_list(const std::vector<std::string>& numbers) {
  std::string list;
  for (const std::string& n : numbers) {
    list += (list.empty() ? "" : ", ") + number(n);
  }
  return "[" + list + "]";
}

// Lines of the file.
class Text {
 public:
  Text(const Answers& answers, const AnswerNames& assumed) : answers_(answers), assumed_(assumed) {}

  void line(std::string_view text) { text_.append(text).append("\n"); }
  void blank() { text_ += '\n'; }
  // name: of the question whose answer the value is made of.
  void key(std::string_view key, const std::string& value, std::string_view name) {
    text_ += fmt::format("{} = {}{}\n", key, value, assumed_.contains(name) ? "  # assumed" : "");
  }
  // The answer as a quantity.
  void quantity(std::string_view key, std::string_view name) {
    this->key(key, toml_text(given(answers_, name)), name);
  }

  const std::string& text() const { return text_; }

 private:
  const Answers& answers_;
  const AnswerNames& assumed_;
  std::string text_;
};

void add_engine(Text& t, const Answers& answers) {
  const auto order = numbers_in(given(answers, "firing_order"));
  t.line("[engine]");
  t.quantity("bore", "bore");
  t.quantity("stroke", "stroke");
  t.quantity("rod", "rod");
  t.key("compression_ratio", number(given(answers, "compression_ratio")), "compression_ratio");
  t.key("firing_order",
        order.empty() ? toml_text(given(answers, "firing_order")) : number_list(order),
        "firing_order");
  const std::string intervals = given(answers, "intervals");
  if (intervals != "even") {
    std::string list;
    for (const std::string& angle : parts_of(intervals)) {
      const bool bare = angle.find_first_not_of("0123456789.") == std::string::npos;
      list += (list.empty() ? "" : ", ") + toml_text(angle + (bare ? " deg" : ""));
    }
    t.key("intervals", "[" + list + "]", "intervals");
  }
  const std::string left = given(answers, "left_bank");
  if (is_none(left)) return;
  const auto left_numbers = numbers_in(left);
  std::vector<std::string> right;
  for (const std::string& n : order) {
    if (std::find(left_numbers.begin(), left_numbers.end(), n) == left_numbers.end()) {
      right.push_back(n);
    }
  }
  std::sort(right.begin(), right.end(), [](const std::string& a, const std::string& b) {
    return a.size() != b.size() ? a.size() < b.size() : a < b;
  });
  t.key("banks",
        left_numbers.empty() ? toml_text(left)
                             : fmt::format("{{ left = {}, right = {} }}", number_list(left_numbers),
                                           number_list(right)),
        "left_bank");
}

void add_valve(Text& t, const Answers& answers, const std::string& which) {
  const bool solid = has_solid_lifters(answers);
  t.line(fmt::format("[{}_valve]", which));
  t.key("count", number(given(answers, which + "_valves")), which + "_valves");
  t.quantity("seat_diameter", which + "_seat");
  t.blank();
  t.line(fmt::format("[{}_valve.cam]", which));
  t.quantity("duration", which + "_duration");
  t.quantity("checking_lift", "checking_lift");
  if (!is_none(given(answers, which + "_advertised"))) {
    t.quantity("advertised_duration", which + "_advertised");
    t.quantity("advertised_lift", "advertised_lift");
  }
  t.quantity("lift", which + "_lift");
  t.key("rocker_ratio", number(given(answers, "rocker_ratio")), "rocker_ratio");
  t.quantity("follower", "followers");
  if (solid) t.quantity("lash", which + "_lash");
  t.blank();
  t.line("# More points, from low to full lift, are better than the best one alone.");
  t.line(fmt::format("[{}_valve.flow]", which));
  t.quantity("depression", "depression");
  t.key("lift", "[" + toml_text(given(answers, which + "_flow_lift")) + "]", which + "_flow_lift");
  t.key("forward", "[" + toml_text(given(answers, which + "_flow")) + "]", which + "_flow");
}

void add_header(Text& t, const Answers& answers, const std::string& kind, bool with_collector) {
  t.line("[[header]]");
  t.key("name", toml_text(kind), "headers");
  t.key("kind", toml_text(kind), "headers");
  t.quantity("primary_tube", "primary_tube");
  if (kind == "stepped-length") {
    t.quantity("shortest", "shortest");
    t.quantity("longest", "longest");
  } else {
    t.quantity("primary_length", "primary_length");
  }
  if (is_with_secondaries(kind)) {
    t.quantity("secondary_tube", "secondary_tube");
    t.quantity("secondary_length", "secondary_length");
  }
  if (!with_collector) return;
  t.quantity("collector_tube", "collector_tube");
  t.quantity("collector_length", "collector_length");
  if (kind == "divided-collector") t.quantity("divider_length", "divider_length");
  if (!has_tail(answers)) return;
  t.quantity("tail_tube", "tail_tube");
  t.quantity("tail_length", "tail_length");
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

std::string case_text_of(const Answers& answers, const AnswerNames& assumed) {
  const bool with_collector = has_collector(answers);
  Text t(answers, assumed);
  t.line(
      "# Written by pulsewright new from a few answers. `pulsewright check` reads it back and "
      "lists");
  t.line(
      "# what was assumed; `pulsewright check --manual` explains every key. Every quantity stands "
      "in");
  t.line("# quotes with its unit.");
  t.blank();
  t.quantity("title", "title");
  t.blank();
  add_engine(t, answers);
  t.blank();
  t.line("# The cam card: where both lobes stand.");
  t.line("[cam]");
  t.quantity("lobe_separation", "lobe_separation");
  t.quantity("intake_centerline", "intake_centerline");
  t.blank();
  add_valve(t, answers, "exhaust");
  t.blank();
  add_valve(t, answers, "intake");
  t.blank();
  t.line("[combustion]");
  t.quantity("fuel", "fuel");
  t.blank();
  t.line("# One runner for each cylinder, drawing from the air outside.");
  t.line("[intake]");
  t.quantity("length", "runner_length");
  t.quantity("entry_diameter", "runner_diameter");
  t.blank();
  t.line("# What all headers share: the port in the head, before the tubes.");
  t.line("[exhaust]");
  t.quantity("port_length", "port_length");
  t.quantity("port_diameter", "port_diameter");
  const auto kinds = with_collector ? parts_of(given(answers, "headers"))
                                    : std::vector<std::string>{"equal-length"};
  for (const std::string& kind : kinds) {
    t.blank();
    add_header(t, answers, kind, with_collector);
  }
  t.blank();
  t.line("# Speeds of the curves, and the band over which the headers are judged.");
  t.line("[run]");
  t.quantity("from", "lowest_speed");
  t.quantity("to", "highest_speed");
  t.key("step", toml_text(step_of(answers)), "highest_speed");
  t.quantity("band_from", "band_from");
  t.quantity("band_to", "band_to");
  return t.text();
}

}  // namespace pulsewright::cases
