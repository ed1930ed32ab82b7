#include "cases/read_valve.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/cam_lobe.hpp"
#include "cases/counted.hpp"
#include "cases/flow_bench.hpp"
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

bool from_top(const ValveEvent& event) {
  return event.from == DeadCentre::before_top || event.from == DeadCentre::after_top;
}

constexpr double overlap_top = 360;

// Exhaust events belong to the dead centres that an exhaust valve works round, and likewise intake.
void check_event_sides(Section& s, const std::optional<ValveEvent>& opens,
                       const std::optional<ValveEvent>& closes,
                       const std::optional<ValveEvent>& centerline, bool exhaust) {
  if (opens && from_top(*opens) == exhaust) {
    s.problem(
        "opens",
        exhaust ? "is counted from top dead centre; an exhaust valve opens near bottom"
                : "is counted from bottom dead centre; an intake valve opens near top",
        exhaust ? "for example: opens = \"74 deg BBDC\"" : "for example: opens = \"34 deg BTDC\"");
  }
  if (closes && from_top(*closes) != exhaust) {
    s.problem("closes",
              exhaust ? "is counted from bottom dead centre; an exhaust valve closes near top"
                      : "is counted from top dead centre; an intake valve closes near bottom",
              exhaust ? "for example: closes = \"30 deg ATDC\""
                      : "for example: closes = \"70 deg ABDC\"");
  }
  if (centerline && !from_top(*centerline)) {
    s.problem("centerline", "is not counted from top dead centre",
              exhaust ? "for example: centerline = \"112 deg BTDC\""
                      : "for example: centerline = \"108 deg ATDC\"");
  }
}

models::LiftCurve read_cam(Section s, Problems& problems, bool exhaust,
                           std::optional<CamCard>& read_card) {
  const double bottom = exhaust ? 180 : 540;
  const auto opens = s.event("opens");
  const auto closes = s.event("closes");
  const auto centerline = s.event("centerline");
  CamCard card;
  card.lift = s.quantity("lift");
  card.lash = s.quantity("lash");
  card.duration_deg = s.quantity("duration");
  card.rocker_ratio = s.number("rocker_ratio");
  const double checking_lift = s.quantity("checking_lift");
  card.checking_lift = checking_lift * card.rocker_ratio;
  s.finish();
  check_event_sides(s, opens, closes, centerline, exhaust);
  if (problems.any() || !opens || !closes) return {};
  card.opens_deg = crank_angle(*opens, overlap_top, bottom);
  card.closes_deg = crank_angle(*closes, overlap_top, bottom);
  card.centerline_deg = centerline ? crank_angle(*centerline, overlap_top, bottom)
                                   : (card.opens_deg + card.closes_deg) / 2;
  if (!(card.opens_deg < card.closes_deg)) {
    s.problem("closes",
              fmt::format("lies at {:.6g} deg of crank, before the valve opens at {:.6g}",
                          card.closes_deg, card.opens_deg),
              "a valve opens before it closes; check BBDC, ABDC, BTDC and ATDC");
    return {};
  }
  check_timing(s, "opens", "closes", card.opens_deg, card.closes_deg, exhaust);
  check_duration(s, card.closes_deg - card.opens_deg, card.duration_deg, checking_lift);
  read_card = card;
  try {
    return lift_from_card(card, s.shown());
  } catch (const CamError& error) {
    const std::string_view key = s.has("duration")     ? "duration"
                                 : s.has("centerline") ? "centerline"
                                                       : "lift";
    s.problem(key, error.what(), "check the card; a measured lift_table may be given instead");
  }
  return {};
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
};

void check_against_seat(Section& s, std::string_view key, const FlowTable& table,
                        const std::vector<double>& flow, double area) {
  const double most = ideal_volume_flux(table.bench) * area;
  for (std::size_t i = 0; i < flow.size(); ++i) {
    if (flow[i] <= most) continue;
    constexpr double cubic_foot = 0.3048 * 0.3048 * 0.3048;
    s.problem(key,
              fmt::format("has {:.1f} cfm at {}; at this depression an ideal nozzle of the "
                          "seat's bore passes {:.1f} cfm",
                          flow[i] * 60 / cubic_foot, s.shown().length(table.lift[i]),
                          most * 60 / cubic_foot),
              "check depression, seat_diameter, count and the units of the table");
    return;
  }
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
  s.finish();
  return table;
}

void read_flow(Section s, Problems& problems, models::ValveSpecification& valve, double stem) {
  const FlowTable table = read_flow_table(s);
  if (problems.any() || !check_flow_keys(s, table) || !check_lifts(s, table)) return;
  const double seat = seat_area(valve.seat_diameter, stem);
  models::FlowCurve forward;
  models::FlowCurve reverse;
  if (s.has("forward")) {
    check_against_seat(s, "forward", table, table.forward, seat * valve.count);
    check_against_seat(s, "reverse", table, table.reverse, seat * valve.count);
    forward = flow_curve(table.bench, table.lift, table.forward, valve.count);
    reverse = table.reverse.empty()
                  ? forward
                  : flow_curve(table.bench, table.lift, table.reverse, valve.count);
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
}

}  // namespace

models::ValveSpecification read_valve(Section s, Problems& problems, bool exhaust,
                                      std::optional<CamCard>& card) {
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
    valve.lift = read_cam(cam, problems, exhaust, card);
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
