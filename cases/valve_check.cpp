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

// Shorter from seat to seat are hardly even the cams of tractors; race cams are so short at 0.050
// in (common practice, no source).
constexpr double least_usual_deg = 230;

void check_length(Section& s, std::string_view opens_key, double seat_deg) {
  if (seat_deg >= least_usual_deg) return;
  s.remark(opens_key,
           fmt::format("has the valve open for {:.4g} deg only: as if it were the timing at 0.050 "
                       "in of lift",
                       seat_deg),
           "the angles are those at which the valve leaves and meets its seat; the duration at a "
           "checking lift goes into duration and checking_lift");
}

}  // namespace

void check_duration(Section& s, double seat_deg, double duration_deg, double duration_lift) {
  // From the seat to 0.050 in of the follower and back cams take 40 to 90 deg (common practice, no
  // source).
  constexpr double least_usual_ramps = 30;
  constexpr double least_lift = 1.0e-3;  // m; durations at less lift are nearer to that at the seat
  if (duration_deg == 0 || duration_lift < least_lift) return;
  if (seat_deg - duration_deg >= least_usual_ramps) return;
  s.remark("duration",
           fmt::format("at {} is only {:.4g} deg shorter than the {:.4g} deg from opening to "
                       "closing: as if those were at that lift, too",
                       s.shown().length(duration_lift), seat_deg - duration_deg, seat_deg),
           "opens and closes are at the seat, where cams have 40 to 90 deg more than at 0.050 in");
}

void check_timing(Section& s, std::string_view opens_key, std::string_view closes_key,
                  double opens_deg, double closes_deg, bool exhaust) {
  const double firing = std::ceil(opens_deg / models::cycle_angle) * models::cycle_angle;
  if (firing <= closes_deg) {
    s.problem(
        firing - opens_deg < closes_deg - firing ? opens_key : closes_key,
        fmt::format("leaves the valve open at the dead centre of firing, from {:.4g} deg before it "
                    "to {:.4g} deg after it",
                    firing - opens_deg, closes_deg - firing),
        "a charge is compressed with both valves shut; check BBDC, ABDC, BTDC and ATDC");
    return;
  }
  const UsualTiming& usual = exhaust ? usual_exhaust : usual_intake;
  const double shift = opens_deg - models::fold(opens_deg);
  const auto outside = [&](double angle, double from, double to) {
    return angle - shift < from || angle - shift > to;
  };
  const bool opens_oddly = outside(opens_deg, usual.opens_from, usual.opens_to);
  if (!opens_oddly && !outside(closes_deg, usual.closes_from, usual.closes_to)) {
    check_length(s, opens_key, closes_deg - opens_deg);
    return;
  }
  s.remark(opens_oddly ? opens_key : closes_key,
           fmt::format("has the valve leave its seat {} and meet it {}",
                       valve_event_text(opens_deg, exhaust ? 180 : 360, !exhaust),
                       valve_event_text(closes_deg, exhaust ? 360 : 540, exhaust)),
           std::string(usual.words));
}

void check_full_lift(Section& s, std::string_view key, double lift, double seat_diameter) {
  // The curtain is as large as the bore of the seat at a quarter of the diameter; race engines go
  // on to 0.4 or so (common practice, no source).
  constexpr double greatest_usual = 0.5;
  if (!(seat_diameter > 0)) return;
  const double ratio = lift / seat_diameter;
  const std::string message = fmt::format("reaches {}, {:.2f} times the diameter of the seat",
                                          s.shown().length(lift), ratio);
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
  constexpr double least_of_highest = 0.9;
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
        "makes {} of effective area at {} of lift, where the curtain (pi x "
        "seat diameter x lift) has {}",
        s.shown().area(area), s.shown().length(lift), s.shown().area(curtain));
    const char* const advice =
        "check the lifts and their unit, seat_diameter, count and depression";
    if (area > greatest_measured * curtain) {
      s.problem(key, message, advice);
      return;
    }
    if (area > curtain) remark(message, advice);
    if (area <= 0 && highest > 0) {
      s.problem(
          key,
          fmt::format("falls to nothing at {}, where the valve is open", s.shown().length(lift)),
          "leave out lifts that were not measured: beyond the last one its flow holds");
      return;
    }
    if (area < least_of_highest * highest) {
      remark(fmt::format("falls to {:.0f} % of what passes at less lift, at {}",
                         100 * area / highest, s.shown().length(lift)),
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
    problems.add(key,
                 fmt::format("is not smaller than the bore of {}", problems.shown().length(bore)),
                 advice);
    return;
  }
  if (exhaust_seat + intake_seat <= bore) return;
  problems.remark(
      "exhaust_valve.seat_diameter",
      fmt::format("and the intake's of {} do not fit beside each other into the bore of {}",
                  problems.shown().length(intake_seat), problems.shown().length(bore)),
      advice);
}

}  // namespace pulsewright::cases
