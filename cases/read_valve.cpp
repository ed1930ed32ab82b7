#include "cases/read_valve.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/counted.hpp"
#include "cases/flow_bench.hpp"
#include "cases/read_cam.hpp"
#include "cases/valve_check.hpp"

namespace pulsewright::cases {
namespace {

// Highest lift that a flow table must reach, as a fraction of the full lift: beyond its end the
// flow is taken as constant, which is a guess worth a little extrapolation only.
constexpr double least_covered_lift = 0.75;

bool rises(const std::vector<double>& values) {
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (!(values[i] > values[i - 1])) return false;
  }
  return true;
}

models::LiftCurve read_lift_table(Section s, Problems& problems, bool exhaust) {
  models::LiftCurve curve;
  curve.angle_deg = s.quantities("angle");
  curve.lift = s.quantities("lift");
  s.finish();
  if (problems.any()) return curve;
  if (curve.angle_deg.size() != curve.lift.size()) {
    s.problem("lift",
              fmt::format("has {} for {}", counted(curve.lift.size(), "value"),
                          counted(curve.angle_deg.size(), "angle")),
              "give one lift for each angle");
  } else if (curve.angle_deg.size() < 3) {
    s.problem("angle", "has less than three points", "give the lift every 5 deg or so");
  } else if (!rises(curve.angle_deg)) {
    s.problem("angle", "does not rise from each angle to the next",
              "sort the table; past 720 deg go on with 725 deg and so on");
  } else if (curve.angle_deg.back() - curve.angle_deg.front() >= 720 ||
             curve.angle_deg.front() >= 720) {
    s.problem("angle", "spans more than one cycle", "begin below 720 deg and span less than that");
  } else if (curve.lift.front() != 0 || curve.lift.back() != 0) {
    s.problem("lift", "is not zero at both ends", "begin and end with \"0 mm\"");
  } else {
    for (std::size_t i = 1; i + 1 < curve.lift.size(); ++i) {
      if (curve.lift[i] > 0) continue;
      s.problem(
          "lift",
          fmt::format("is zero at {:.6g} deg, between opening and closing", curve.angle_deg[i]),
          "let the table begin where the valve opens and end where it closes");
      return curve;
    }
    check_timing(s, "angle", "angle", curve.angle_deg.front(), curve.angle_deg.back(), exhaust);
  }
  return curve;
}

struct FlowTable {
  std::vector<double> lift, forward, reverse, discharge, reverse_discharge;
  BenchState bench;
  bool seat_based = false;
  double multiplier = 1;
};

// Flows no greater than what an ideal nozzle of the seat's bore passes; area: of all seats. A stub
// pipe behind the port recovers pressure, so that good ports show a little more on the bench.
std::vector<double> up_to_ideal(Section& s, std::string_view key, const FlowTable& table,
                                std::vector<double> flow, double area) {
  // Beyond that it is a slip of unit or depression (common practice, no source: diffusing stubs
  // bring 10 to 20 %).
  constexpr double greatest_measured = 1.5;
  constexpr double cubic_foot = 0.3048 * 0.3048 * 0.3048;
  const double most = ideal_volume_flux(table.bench) * area;
  bool remarked = false;
  for (std::size_t i = 0; i < flow.size(); ++i) {
    if (flow[i] <= most) continue;
    const std::string message = fmt::format(
        "has {:.1f} cfm at {}; at this depression an ideal nozzle of the seat's bore "
        "passes {:.1f} cfm",
        flow[i] * 60 / cubic_foot, s.shown().length(table.lift[i]), most * 60 / cubic_foot);
    if (flow[i] > greatest_measured * most) {
      s.problem(key, message, "check depression, seat_diameter, count and the units of the table");
      return flow;
    }
    if (!remarked) {
      s.remark(key, message + ", which is used instead",
               "a stub pipe on the bench recovers pressure; otherwise check depression, "
               "seat_diameter, count and the units of the table");
    }
    remarked = true;
    flow[i] = most;
  }
  return flow;
}

bool check_size(Section& s, std::string_view key, const std::vector<double>& values,
                std::size_t lifts) {
  if (values.empty() || values.size() == lifts) return true;
  s.problem(key,
            fmt::format("has {} for {}", counted(values.size(), "value"), counted(lifts, "lift")),
            "give one value for each lift");
  return false;
}

bool check_flow_keys(Section& s, const FlowTable& table) {
  if (s.has("forward") == s.has("discharge")) {
    s.problem(s.has("forward") ? "discharge" : "forward",
              s.has("forward") ? "is given beside forward" : "is missing",
              "give either forward with depression, or discharge");
    return false;
  }
  if (s.has("forward") && !s.has("depression")) {
    s.problem("depression", "is missing; the flow is not defined without it",
              "for example: depression = \"28 inH2O\"");
    return false;
  }
  for (const std::string_view key : {"reverse", "depression"}) {
    if (s.has("discharge") && s.has(key)) {
      s.problem(key, "does not go with discharge", "remove it");
      return false;
    }
  }
  if (s.has("forward") && s.has("reverse_discharge")) {
    s.problem("reverse_discharge", "does not go with forward", "give reverse instead");
    return false;
  }
  const std::size_t n = table.lift.size();
  return check_size(s, "forward", table.forward, n) && check_size(s, "reverse", table.reverse, n) &&
         check_size(s, "discharge", table.discharge, n) &&
         check_size(s, "reverse_discharge", table.reverse_discharge, n);
}

models::FlowCurve discharge_curve(const FlowTable& table, const std::vector<double>& coefficient,
                                  double seat_diameter, double seat) {
  models::FlowCurve curve;
  if (table.lift.front() > 0) {
    curve.lift.push_back(0);
    curve.area.push_back(0);
  }
  for (std::size_t i = 0; i < table.lift.size(); ++i) {
    const double reference = table.seat_based ? seat : curtain_area(seat_diameter, table.lift[i]);
    curve.lift.push_back(table.lift[i]);
    curve.area.push_back(std::min(seat, coefficient[i] * reference));
  }
  if (curve.lift.front() == 0) curve.area.front() = 0;
  return curve;
}

// Whether lifts and flows of the table make sense by themselves.
bool check_lifts(Section& s, const FlowTable& table) {
  if (!rises(table.lift)) {
    s.problem("lift", "does not rise from each lift to the next", "sort the table by lift");
    return false;
  }
  if (table.lift.back() == 0) {
    s.problem("lift", "has no lift above zero", "give the lifts that were measured");
    return false;
  }
  if (s.has("forward") && table.lift.front() == 0 && table.forward.front() != 0) {
    s.problem("forward", "is not zero at zero lift", "a closed valve passes nothing");
    return false;
  }
  return true;
}

void check_covered_lift(Section& s, const FlowTable& table, const models::LiftCurve& lift) {
  const double full = lift.lift.empty() ? 0 : *std::max_element(lift.lift.begin(), lift.lift.end());
  if (table.lift.back() < least_covered_lift * full) {
    s.problem("lift",
              fmt::format("ends at {}, but the valve lifts {}", s.shown().length(table.lift.back()),
                          s.shown().length(full)),
              "measure up to three quarters of the full lift at least");
  }
}

// Of the flows of a bench; of one flow alone the typical curve through it.
models::FlowCurve bench_curve(Section& s, std::string_view key, const FlowTable& table,
                              const std::vector<double>& flow,
                              const models::ValveSpecification& valve) {
  if (flow.size() > 1) return flow_curve(table.bench, table.lift, flow, valve.count);
  s.assume(key, "one flow, at " + s.shown().length(table.lift.front()), "", "",
           "a typical curve of flow over lift, drawn through the one flow that is given");
  return typical_flow_curve(valve.seat_diameter, table.lift.front(),
                            effective_area(table.bench, flow.front()) / valve.count);
}

FlowTable read_flow_table(Section& s) {
  FlowTable table;
  table.lift = s.quantities("lift");
  table.forward = s.quantities("forward");
  table.reverse = s.quantities("reverse");
  table.bench.depression = s.quantity("depression");
  table.bench.temperature = s.quantity("bench_temperature");
  table.bench.pressure = s.quantity("bench_pressure");
  table.discharge = s.numbers("discharge");
  table.reverse_discharge = s.numbers("reverse_discharge");
  table.seat_based = s.choice("discharge_area") == "seat";
  table.multiplier = s.number("multiplier");
  s.finish();
  return table;
}

// Times the multiplier, up to what ideal nozzles of curtain and seat (m2) pass. A table beyond
// those is the business of check_flow_curve(), and stays.
void multiply(models::FlowCurve& curve, double multiplier, double seat_diameter, double seat) {
  if (multiplier == 1) return;
  for (std::size_t i = 0; i < curve.area.size(); ++i) {
    const double most = std::min(seat, curtain_area(seat_diameter, curve.lift[i]));
    curve.area[i] = std::min(multiplier * curve.area[i], std::max(most, curve.area[i]));
  }
}

void read_flow(Section s, Problems& problems, models::ValveSpecification& valve, double stem) {
  const FlowTable table = read_flow_table(s);
  if (problems.any() || !check_flow_keys(s, table) || !check_lifts(s, table)) return;
  const double seat = seat_area(valve.seat_diameter, stem);
  models::FlowCurve forward;
  models::FlowCurve reverse;
  if (s.has("forward")) {
    const auto curve_of = [&](std::string_view key, const std::vector<double>& flow) {
      return bench_curve(s, key, table, up_to_ideal(s, key, table, flow, seat * valve.count),
                         valve);
    };
    forward = curve_of("forward", table.forward);
    reverse = table.reverse.empty() ? forward : curve_of("reverse", table.reverse);
  } else {
    forward = discharge_curve(table, table.discharge, valve.seat_diameter, seat);
    reverse = table.reverse_discharge.empty()
                  ? forward
                  : discharge_curve(table, table.reverse_discharge, valve.seat_diameter, seat);
  }
  valve.forward = forward;
  valve.reverse = reverse;
  check_covered_lift(s, table, valve.lift);
  if (problems.any()) return;
  check_flow_curve(s, s.has("forward") ? "forward" : "discharge", forward, valve.seat_diameter);
  for (const std::string_view key : {"reverse", "reverse_discharge"}) {
    if (s.has(key)) check_flow_curve(s, key, reverse, valve.seat_diameter);
  }
  for (models::FlowCurve* curve : {&valve.forward, &valve.reverse}) {
    multiply(*curve, table.multiplier, valve.seat_diameter, seat);
  }
}

}  // namespace

models::ValveSpecification read_valve(Section s, Problems& problems, bool exhaust,
                                      std::optional<double> centerline_deg,
                                      std::optional<Lobe>& lobe) {
  models::ValveSpecification valve;
  valve.count = s.integer("count");
  valve.seat_diameter = s.quantity("seat_diameter");
  const double stem = s.quantity("stem_diameter");
  if (valve.seat_diameter > 0 && !(stem < valve.seat_diameter)) {
    s.problem("stem_diameter", "is not smaller than the seat", "check both diameters");
  }
  Section cam = s.table("cam", "valve.cam");
  Section lifts = s.table("lift_table", "valve.lift_table");
  if (s.has("cam") == s.has("lift_table")) {
    s.problem(s.has("cam") ? "lift_table" : "cam",
              s.has("cam") ? "is given beside cam" : "is missing",
              "give either the cam card (cam) or a measured lift (lift_table)");
  } else if (s.has("cam")) {
    lobe = read_cam(cam, problems, exhaust, centerline_deg);
    if (lobe) valve.lift = lift_of_lobe(*lobe);
  } else {
    valve.lift = read_lift_table(lifts, problems, exhaust);
  }
  if (!valve.lift.angle_deg.empty()) {
    valve.opens_deg = valve.lift.angle_deg.front();
    valve.closes_deg = valve.lift.angle_deg.back();
    check_full_lift(s.has("cam") ? cam : lifts, "lift",
                    *std::max_element(valve.lift.lift.begin(), valve.lift.lift.end()),
                    valve.seat_diameter);
  }
  Section flow = s.table("flow", "valve.flow");
  if (flow.present()) read_flow(flow, problems, valve, stem);
  s.finish();
  return valve;
}

}  // namespace pulsewright::cases
