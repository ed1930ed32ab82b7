#include "cases/valve_check.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>

#include "cases/flow_bench.hpp"
#include "models/boundary/crank_angle.hpp"

namespace pulsewright::cases {
namespace {

// deg after firing top dead centre. Wider than from the mildest tow engine to the wildest race cam
// (common practice, no source).
struct UsualTiming {
  double opens_from, opens_to, closes_from, closes_to;
  std::string_view words;
};
constexpr UsualTiming usual_exhaust{60, 200, 340, 450,
                                    "exhaust valves open 120 deg BBDC to 20 deg ABDC and close 20 "
                                    "deg BTDC to 90 deg ATDC"};
constexpr UsualTiming usual_intake{250, 420, 510, 660,
                                   "intake valves open 110 deg BTDC to 60 deg ATDC and close 30 "
                                   "deg BBDC to 120 deg ABDC"};

}  // namespace

void check_timing(Section& s, std::string_view opens_key, std::string_view closes_key,
                  double opens_deg, double closes_deg, bool exhaust) {
  const double firing = std::ceil(opens_deg / models::cycle_angle) * models::cycle_angle;
  if (firing <= closes_deg) {
    s.problem(
        firing - opens_deg < closes_deg - firing ? opens_key : closes_key,
        fmt::format("leaves the valve open at firing dead centre: it opens at {:.6g} and closes "
                    "at {:.6g} deg of crank, firing is at {:.6g}",
                    opens_deg, closes_deg, firing),
        "a charge is compressed with both valves shut; check BBDC, ABDC, BTDC and ATDC");
    return;
  }
  const UsualTiming& usual = exhaust ? usual_exhaust : usual_intake;
  const double shift = opens_deg - models::fold(opens_deg);
  const auto outside = [&](double angle, double from, double to) {
    return angle - shift < from || angle - shift > to;
  };
  const bool opens_oddly = outside(opens_deg, usual.opens_from, usual.opens_to);
  if (!opens_oddly && !outside(closes_deg, usual.closes_from, usual.closes_to)) return;
  s.remark(opens_oddly ? opens_key : closes_key,
           fmt::format("has the valve open from {:.6g} to {:.6g} deg after firing dead centre",
                       opens_deg - shift, closes_deg - shift),
           std::string(usual.words));
}

void check_full_lift(Section& s, std::string_view key, double lift, double seat_diameter) {
  // The curtain is as large as the bore of the seat at a quarter of the diameter; race engines go
  // on to 0.4 or so (common practice, no source).
  constexpr double greatest_usual = 0.5;
  if (!(seat_diameter > 0)) return;
  const double ratio = lift / seat_diameter;
  const std::string message =
      fmt::format("reaches {:.4g} mm, {:.2f} times the diameter of the seat", lift * 1e3, ratio);
  if (ratio > 1) {
    s.problem(key, message,
              "no valve lifts by more than its diameter; check lift and seat_diameter");
  } else if (ratio > greatest_usual) {
    s.remark(key, message, "valves lift by 0.25 to 0.4 of the diameter of their seat");
  }
}

void check_flow_curve(Section& s, std::string_view key, const models::FlowCurve& curve,
                      double seat_diameter) {
  // A small lift is set on the bench to a few hundredths of a millimetre; beyond that no valve
  // passes more than an ideal nozzle of its curtain.
  constexpr double greatest_measured = 1.15;
  constexpr double least_of_highest = 0.6;
  double highest = 0;
  bool remarked = false;
  const auto remark = [&](const std::string& message, const std::string& advice) {
    if (!remarked) s.remark(key, message, advice);
    remarked = true;
  };
  for (std::size_t i = 0; i < curve.lift.size(); ++i) {
    const double lift = curve.lift[i];
    const double area = curve.area[i];
    const double curtain = curtain_area(seat_diameter, lift);
    const std::string message = fmt::format(
        "makes {:.4g} mm2 of effective area at {:.4g} mm of lift, where the curtain (pi x "
        "seat diameter x lift) has {:.4g} mm2",
        area * 1e6, lift * 1e3, curtain * 1e6);
    const char* const advice =
        "check the lifts and their unit, seat_diameter, count and depression";
    if (area > greatest_measured * curtain) {
      s.problem(key, message, advice);
      return;
    }
    if (area > curtain) remark(message, advice);
    if (area <= 0 && highest > 0) {
      s.problem(key,
                fmt::format("falls to nothing at {:.4g} mm, where the valve is open", lift * 1e3),
                "leave out lifts that were not measured: beyond the last one its flow holds");
      return;
    }
    if (area < least_of_highest * highest) {
      remark(fmt::format("falls to {:.0f} % of what passes at less lift, at {:.4g} mm",
                         100 * area / highest, lift * 1e3),
             "flow rises with lift, or falls by some per cent where it separates; check the table");
    }
    highest = std::max(highest, area);
  }
}

void check_seats(Problems& problems, double bore, double exhaust_seat, double intake_seat) {
  const std::string advice = "check bore and both seat diameters; each is of one valve";
  for (const auto& [key, seat] : {std::pair("exhaust_valve.seat_diameter", exhaust_seat),
                                  std::pair("intake_valve.seat_diameter", intake_seat)}) {
    if (seat < bore) continue;
    problems.add(key, fmt::format("is not smaller than the bore of {:.4g} mm", bore * 1e3), advice);
    return;
  }
  if (exhaust_seat + intake_seat <= bore) return;
  problems.remark(
      "exhaust_valve.seat_diameter",
      fmt::format("and the intake's of {:.4g} mm do not fit beside each other into the bore "
                  "of {:.4g} mm",
                  intake_seat * 1e3, bore * 1e3),
      advice);
}

}  // namespace pulsewright::cases
