#include "cases/read_intake.hpp"

#include <fmt/format.h>
#include <initializer_list>
#include <string>
#include <string_view>

#include "cases/flow_bench.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

// Notes each of the keys that is given; false if there is none.
bool refuse(Section& s, std::initializer_list<std::string_view> keys, const std::string& message,
            const std::string& advice) {
  bool any = false;
  for (const std::string_view key : keys) {
    if (!s.has(key)) continue;
    s.problem(key, message, advice);
    any = true;
  }
  return any;
}

void need_key(Section& s, std::string_view key, std::string_view why) {
  if (s.has(key)) return;
  s.problem(key, fmt::format("is missing; {}", why),
            fmt::format("for example: {} = {}", key, find_parameter("intake", key)->example));
}

// Keys that stand or fall together.
void need_pair(Section& s, std::string_view a, std::string_view b) {
  if (s.has(a) == s.has(b)) return;
  need_key(s, s.has(a) ? b : a, fmt::format("{} and {} go together", a, b));
}

void read_throttle(Section& s, Intake& out) {
  out.throttle_area = s.quantity("throttle_area");
  out.throttle_flow = s.quantity("throttle_flow");
  out.throttle_drop = s.quantity("throttle_drop");
  out.throttle_opening = s.number("throttle_opening");
  out.throttle_diameter = s.quantity("throttle_diameter");
  out.throttle_length = s.quantity("throttle_length");
  out.throttle_count = s.integer("throttle_count");
  need_pair(s, "throttle_flow", "throttle_drop");
  need_pair(s, "throttle_diameter", "throttle_length");
  if (s.has("throttle_area") && s.has("throttle_flow")) {
    s.problem("throttle_flow", "is given beside throttle_area", "keep one of the two");
  } else if (s.has("throttle_flow") && s.has("throttle_drop") && out.throttle_flow > 0 &&
             out.throttle_drop > 0) {
    BenchState bench;
    bench.depression = out.throttle_drop;
    out.throttle_area = effective_area(bench, out.throttle_flow);
  }
  if (s.has("throttle_count") && !s.has("throttle_diameter")) {
    need_key(s, "throttle_diameter", "barrels have a diameter");
  }
}

void read_air_box(Section& s, Intake& out) {
  out.air_box_volume = s.quantity("air_box_volume");
  out.air_box_inlet_diameter = s.quantity("air_box_inlet_diameter");
  out.air_box_inlet_length = s.quantity("air_box_inlet_length");
  out.air_box_inlet_loss = s.number("air_box_inlet_loss");
  out.air_box_inlet_area = s.quantity("air_box_inlet_area");
  if (!s.has("air_box_volume")) {
    refuse(s,
           {"air_box_inlet_diameter", "air_box_inlet_length", "air_box_inlet_loss",
            "air_box_inlet_area"},
           "is given, but there is no air box", "remove it, or give air_box_volume");
    return;
  }
  need_pair(s, "air_box_inlet_diameter", "air_box_inlet_length");
  if (s.has("air_box_inlet_diameter") == s.has("air_box_inlet_area")) {
    s.problem("air_box_inlet_area",
              s.has("air_box_inlet_area") ? "is given beside air_box_inlet_diameter" : "is missing",
              "an air box draws through a tube (air_box_inlet_diameter, air_box_inlet_length) or "
              "through an opening (air_box_inlet_area)");
  }
  if (s.has("air_box_inlet_loss") && s.has("air_box_inlet_area")) {
    s.problem("air_box_inlet_loss", "is given beside air_box_inlet_area",
              "remove it: an effective area has its loss in it");
  }
}

void check_plenum(Section& s, const Intake& out) {
  need_key(s, "plenum_volume", "a plenum needs it");
  if (!s.has("throttle_flow")) need_key(s, "throttle_area", "a plenum needs it, or throttle_flow");
  if (s.has("air_box_volume")) {
    need_key(s, "throttle_diameter", "between an air box and a plenum the throttle has barrels");
  }
  const double barrels = out.throttle_count * models::circle_area(out.throttle_diameter);
  if (s.has("throttle_diameter") && out.throttle_area > barrels) {
    s.problem("throttle_diameter",
              fmt::format("is too small: the barrels have {}, and the throttle an effective area "
                          "of {}",
                          s.shown().area(barrels), s.shown().area(out.throttle_area)),
              "check throttle_diameter, throttle_count and the flow with its drop");
  }
}

// Each runner its own throttle: free part of its entry.
void set_runner_throttle(Section& s, Intake& out) {
  refuse(s, {"plenum_volume"}, "is given, but the runners draw from the atmosphere",
         "remove it, or write source = \"plenum\"");
  refuse(s, {"throttle_diameter", "throttle_length", "throttle_count"},
         "is given, but every runner has its own throttle, at its entry",
         "remove it, or write source = \"plenum\"");
  const std::string key = s.has("throttle_flow") ? "throttle_flow" : "throttle_area";
  if (out.throttle_area > 0) {
    const double entry = models::circle_area(out.entry_diameter);
    if (s.has("entry_area_ratio")) {
      s.problem("entry_area_ratio", fmt::format("is given beside {}", key), "keep one of the two");
    } else if (out.throttle_area > entry) {
      s.problem(key,
                fmt::format("is an effective area of {}, more than the entry of a runner has, {}",
                            s.shown().area(out.throttle_area), s.shown().area(entry)),
                "with source = \"atmosphere\" it is the throttle of one runner");
    }
    out.entry_area_ratio = entry > 0 ? out.throttle_area / entry : 1;
  }
  out.entry_area_ratio *= out.throttle_opening;
}

}  // namespace

Intake read_intake(Section s) {
  Intake out;
  out.source = s.enumerator<IntakeSource>("source");
  out.length = s.quantity("length");
  out.entry_diameter = s.quantity("entry_diameter");
  out.valve_diameter = s.quantity("valve_diameter");
  if (!s.has("valve_diameter")) out.valve_diameter = out.entry_diameter;
  out.entry_loss = s.number("entry_loss");
  out.entry_area_ratio = s.number("entry_area_ratio");
  out.roughness = s.quantity("roughness");
  out.wall_temperature = s.quantity("wall_temperature");
  out.plenum_volume = s.quantity("plenum_volume");
  read_throttle(s, out);
  read_air_box(s, out);
  if (out.source == IntakeSource::plenum) {
    check_plenum(s, out);
  } else {
    set_runner_throttle(s, out);
  }
  s.finish();
  return out;
}

}  // namespace pulsewright::cases
