#include "cases/new_case.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "cases/case_text.hpp"
#include "cases/quantity.hpp"

namespace pulsewright::cases {

namespace {

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

// A number without what may stand behind it: 9.8:1, 60 %. Anything else as a text, which the reader
// then refuses at its key.
std::string number(const std::string& text) {
  try {
    const double value = parse_number(text);
    return std::isfinite(value) ? fmt::format("{:.10g}", value) : toml_text(text);
  } catch (const QuantityError&) {
    return toml_text(text);
  }
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
    // Between plain numbers spaces and hyphens do, too.
    std::string parted = intervals;
    if (parted.find_first_not_of("0123456789., -") == std::string::npos) {
      std::replace(parted.begin(), parted.end(), ' ', ',');
      std::replace(parted.begin(), parted.end(), '-', ',');
    }
    for (const std::string& angle : parts_of(parted)) {
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
  if (has_events(answers)) {
    t.quantity("opens", which + "_opens");
    t.quantity("closes", which + "_closes");
    t.quantity("timing_lift", "checking_lift");
  } else {
    t.quantity("duration", which + "_duration");
    t.quantity("checking_lift", "checking_lift");
  }
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

// What stands behind each collector.
void add_muffler(Text& t, const Answers& answers) {
  const std::string muffler = given(answers, "muffler");
  if (is_none(muffler)) return;
  t.blank();
  if (muffler == "chambered") t.line("# One chamber; a muffler of several has a part for each.");
  t.line("[[header.part]]");
  t.key("kind", toml_text(muffler == "chambered" ? "chamber" : muffler), "muffler");
  if (muffler == "back-pressure") {
    t.quantity("pressure", "back_pressure");
    t.quantity("volume_flow", "back_pressure_flow");
    return;
  }
  t.quantity("length", "muffler_length");
  t.quantity("diameter", "muffler_diameter");
  t.blank();
  t.line("[[header.part]]");
  t.key("kind", toml_text("pipe"), "muffler");
  t.quantity("length", "muffler_outlet");
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
  if (with_collector) {
    t.quantity("collector_tube", "collector_tube");
    t.quantity("collector_length", "collector_length");
    if (kind == "divided-collector") t.quantity("divider_length", "divider_length");
    if (has_tail(answers)) {
      t.quantity("tail_tube", "tail_tube");
      t.quantity("tail_length", "tail_length");
    }
  }
  add_muffler(t, answers);
}

}  // namespace

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
  t.line("# The air outside.");
  t.line("[ambient]");
  t.quantity("altitude", "altitude");
  t.quantity("temperature", "air_temperature");
  t.key("relative_humidity", number(given(answers, "humidity")), "humidity");
  t.blank();
  add_engine(t, answers);
  t.blank();
  if (!has_events(answers)) {
    t.line("# The cam card: where both lobes stand.");
    t.line("[cam]");
    t.quantity("lobe_separation", "lobe_separation");
    t.quantity("intake_centerline", "intake_centerline");
    t.blank();
  }
  add_valve(t, answers, "exhaust");
  t.blank();
  add_valve(t, answers, "intake");
  t.blank();
  t.line("[combustion]");
  t.quantity("fuel", "fuel");
  t.blank();
  t.line(has_plenum(answers) ? "# One runner for each cylinder, drawing from one plenum."
                             : "# One runner for each cylinder, drawing from the air outside.");
  t.line("[intake]");
  t.quantity("source", "runners_from");
  if (has_plenum(answers)) {
    t.quantity("plenum_volume", "plenum_volume");
    t.quantity("throttle_flow", "throttle_flow");
    t.quantity("throttle_drop", "throttle_drop");
  }
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
