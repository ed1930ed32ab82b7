// Engine and valves of a case file.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

#include "cases/cam_lobe.hpp"
#include "cases/case_parts.hpp"
#include "cases/flow_bench.hpp"
#include "cases/grouping.hpp"

namespace pulsewright::cases {
namespace {

// Highest lift that a flow table must reach, as a share of the full lift: beyond its end the flow
// is taken as constant, which is a guess worth a little extrapolation only.
constexpr double least_covered_lift = 0.75;

void check_firing_order(Section& s, const std::vector<int>& order) {
  const int n = static_cast<int>(order.size());
  std::set<int> seen;
  for (const int cylinder : order) {
    if (cylinder > n) {
      s.problem("firing_order", fmt::format("names cylinder {}, but has {} cylinders", cylinder, n),
                fmt::format("every cylinder from 1 to {} stands in it once", n));
      return;
    }
    if (!seen.insert(cylinder).second) {
      s.problem("firing_order", fmt::format("names cylinder {} twice", cylinder),
                "every cylinder stands in it once");
      return;
    }
  }
}

std::vector<double> read_intervals(Section& s, std::size_t cylinders) {
  std::vector<double> intervals = s.quantities("intervals");
  if (!s.has("intervals")) return even_intervals(cylinders);
  double sum = 0;
  for (const double interval : intervals) sum += interval;
  if (intervals.size() != cylinders) {
    s.problem("intervals",
              fmt::format("has {} angles for {} cylinders", intervals.size(), cylinders),
              "give one angle for each cylinder of the firing order");
  } else if (std::abs(sum - 720) > 1e-6) {
    s.problem("intervals", fmt::format("adds up to {:.6g} deg", sum),
              "the angles of one cycle add up to 720 deg");
  }
  return intervals;
}

void check_banks(Section& s, const std::vector<Bank>& banks, std::size_t cylinders) {
  std::set<int> seen;
  for (const Bank& bank : banks) {
    for (const int cylinder : bank.cylinders) {
      if (cylinder < 1 || cylinder > static_cast<int>(cylinders)) {
        s.problem("banks",
                  fmt::format("bank {} names cylinder {}, which is not in the firing order",
                              bank.name, cylinder),
                  fmt::format("the engine has cylinders 1 to {}", cylinders));
        return;
      }
      if (!seen.insert(cylinder).second) {
        s.problem("banks", fmt::format("cylinder {} stands in the banks twice", cylinder),
                  "every cylinder belongs to one bank");
        return;
      }
    }
  }
  for (int cylinder = 1; cylinder <= static_cast<int>(cylinders); ++cylinder) {
    if (seen.count(cylinder) == 0) {
      s.problem("banks", fmt::format("cylinder {} stands in no bank", cylinder),
                "every cylinder belongs to one bank");
      return;
    }
  }
}

std::vector<Bank> read_banks(Section& s, std::size_t cylinders) {
  std::vector<Bank> banks;
  s.entries("banks", [&](const std::string& name, const toml::node& node) {
    if (!good_name(name)) {
      s.problem("banks", fmt::format("'{}' is no good name for a bank", name),
                "use letters, digits, spaces and . _ + -, at most 40");
    }
    banks.push_back({name, s.integers_of(node, s.path("banks") + "." + name)});
  });
  if (!s.has("banks")) {
    Bank all{"all", {}};
    for (int i = 1; i <= static_cast<int>(cylinders); ++i) all.cylinders.push_back(i);
    return {all};
  }
  return banks;
}

// ---------------------------------------------------------------- valves

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

models::LiftCurve read_cam(Section s, Problems& problems, bool exhaust) {
  const double bottom = exhaust ? 180 : 540;
  const auto opens = s.event("opens");
  const auto closes = s.event("closes");
  const auto centerline = s.event("centerline");
  CamCard card;
  card.lift = s.quantity("lift");
  card.lash = s.quantity("lash");
  card.duration_deg = s.quantity("duration");
  const double ratio = s.number("rocker_ratio");
  card.checking_lift = s.quantity("checking_lift") * ratio;
  s.finish();
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
  try {
    return lift_from_card(card);
  } catch (const CamError& error) {
    const std::string_view key = s.has("duration")     ? "duration"
                                 : s.has("centerline") ? "centerline"
                                                       : "lift";
    s.problem(key, error.what(), "check the card; a measured lift_table may be given instead");
  }
  return {};
}

models::LiftCurve read_lift_table(Section s, Problems& problems) {
  models::LiftCurve curve;
  curve.angle_deg = s.quantities("angle");
  curve.lift = s.quantities("lift");
  s.finish();
  if (problems.any()) return curve;
  if (curve.angle_deg.size() != curve.lift.size()) {
    s.problem("lift",
              fmt::format("has {} values for {} angles", curve.lift.size(), curve.angle_deg.size()),
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
      break;
    }
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
              fmt::format("has {:.1f} cfm at {:.2f} mm; at this depression an ideal nozzle of the "
                          "seat's opening passes {:.1f} cfm",
                          flow[i] * 60 / cubic_foot, table.lift[i] * 1e3, most * 60 / cubic_foot),
              "check depression, seat_diameter, count and the units of the table");
    return;
  }
}

bool check_size(Section& s, std::string_view key, const std::vector<double>& values,
                std::size_t lifts) {
  if (values.empty() || values.size() == lifts) return true;
  s.problem(key, fmt::format("has {} values for {} lifts", values.size(), lifts),
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
    s.problem("depression", "is missing; the flow means nothing without it",
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

void read_flow(Section s, Problems& problems, models::ValveSpecification& valve, double stem) {
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
  if (problems.any() || !check_flow_keys(s, table)) return;
  if (!rises(table.lift)) {
    s.problem("lift", "does not rise from each lift to the next", "sort the table by lift");
    return;
  }
  if (table.lift.back() == 0) {
    s.problem("lift", "has no lift above zero", "give the lifts that were measured");
    return;
  }
  const double seat = seat_area(valve.seat_diameter, stem);
  models::FlowCurve forward;
  models::FlowCurve reverse;
  if (s.has("forward")) {
    if (table.lift.front() == 0 && table.forward.front() != 0) {
      s.problem("forward", "is not zero at zero lift", "a closed valve passes nothing");
      return;
    }
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
  const double full = valve.lift.lift.empty()
                          ? 0
                          : *std::max_element(valve.lift.lift.begin(), valve.lift.lift.end());
  if (table.lift.back() < least_covered_lift * full) {
    s.problem("lift",
              fmt::format("ends at {:.2f} mm, but the valve lifts {:.2f} mm",
                          table.lift.back() * 1e3, full * 1e3),
              "measure up to three quarters of the full lift at least");
  }
}

}  // namespace

Engine read_engine(Section s, Problems& problems) {
  Engine engine;
  models::CylinderGeometry& geometry = engine.geometry;
  geometry.bore = s.quantity("bore");
  geometry.stroke = s.quantity("stroke");
  geometry.rod = s.quantity("rod");
  geometry.pin_offset = s.quantity("pin_offset");
  geometry.compression_ratio = s.number("compression_ratio");
  engine.scavenge_displacement = s.number("scavenge_displacement");
  engine.firing_order = s.integers("firing_order");
  const bool order_read = !problems.any();
  if (order_read) check_firing_order(s, engine.firing_order);
  engine.interval_deg = read_intervals(s, engine.firing_order.size());
  engine.banks = read_banks(s, engine.firing_order.size());
  s.finish();
  if (problems.any()) return engine;
  check_banks(s, engine.banks, engine.firing_order.size());
  if (!(geometry.rod > geometry.stroke / 2 + std::abs(geometry.pin_offset))) {
    s.problem("rod", "is too short: the crank could not turn",
              "the rod is longer than half the stroke and the pin offset together");
  }
  return engine;
}

models::ValveSpecification read_valve(Section s, Problems& problems, bool exhaust) {
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
    valve.lift = read_cam(cam, problems, exhaust);
  } else {
    valve.lift = read_lift_table(lifts, problems);
  }
  if (!valve.lift.angle_deg.empty()) {
    valve.opens_deg = valve.lift.angle_deg.front();
    valve.closes_deg = valve.lift.angle_deg.back();
  }
  Section flow = s.table("flow", "valve.flow");
  if (flow.present()) read_flow(flow, problems, valve, stem);
  s.finish();
  return valve;
}

}  // namespace pulsewright::cases
