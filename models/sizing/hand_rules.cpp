#include "models/sizing/hand_rules.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "models/sizing/circle.hpp"
#include "models/sizing/tube_stock.hpp"

namespace pulsewright::models {

namespace {

// NIST Special Publication 811 (2008), appendix B.
constexpr double inch = 0.0254;                               // m
constexpr double horsepower = 745.69987158;                   // W
constexpr double cubic_foot_per_minute = 0.02831684659 / 60;  // m3/s
constexpr double rpm = 1.0 / 60;                              // rev/s

constexpr std::string_view mcfarland = "Car Craft, Header Basics (J. McFarland), restated";
constexpr std::string_view bell =
    "Bell, Performance Tuning in Theory and Practice: Four Strokes (1981), restated";
constexpr std::string_view trade = "common practice, no source";

constexpr std::array rows{
    HandRuleRow{HandRule::mean_velocity, "mean velocity",
                "rpm of peak torque = 88,200 A / V; A bore area in in2, V of one cylinder in in3",
                mcfarland, RuleBasis::restated,
                "240 to 260 ft/s of mean gas speed at the torque peak"},
    HandRuleRow{HandRule::tuned_length, "tuned length",
                "P = 850 (180 + EVO) / rpm - 3; P in from the valve to the merge, EVO deg BBDC",
                bell, RuleBasis::restated,
                "from memory: four-strokes, one exhaust pipe for each cylinder; EVO as advertised"},
    HandRuleRow{HandRule::bore_of_length, "bore for a tuned length",
                "bore = 2.1 sqrt(cm3 / (25 (P + 3))); in, cm3 of one cylinder", bell,
                RuleBasis::restated, "as the tuned length"},
    HandRuleRow{HandRule::tube_of_power, "tube by power",
                "685 hp of eight cylinders: 2 in to 2-1/8 in outside diameter", trade,
                RuleBasis::common_practice,
                "680 to 690 hp, eight cylinders; carried over to other powers by bore area in "
                "proportion"},
    HandRuleRow{HandRule::power_of_flow, "power by intake flow",
                "hp of a cylinder = 0.257 cfm of its intake port at 28 inH2O", trade,
                RuleBasis::common_practice,
                "naturally aspirated race engines; less of the rest, less power"},
    HandRuleRow{HandRule::secondary, "4-2-1 primaries and secondaries",
                "P1 = 15 in, P2 = P - 15 in; bore of a secondary = 0.93 sqrt(2) bore of a primary",
                bell, RuleBasis::restated, "as the tuned length"},
    HandRuleRow{HandRule::collector_of_tube, "collector by tube",
                "inside diameter 1.7 to 2.0 times the outside diameter of a primary", trade,
                RuleBasis::common_practice, "four tubes into one"},
    HandRuleRow{HandRule::collector_of_length, "collector by tuned length",
                "bore = 2 sqrt(2 cm3 / (25 (P + 3))); in, cm3 of one cylinder", bell,
                RuleBasis::restated, "as the tuned length; four tubes into one"},
    HandRuleRow{HandRule::merge_neck, "neck of a merge collector",
                "1.3 to 1.5 times the outside diameter of a primary", trade,
                RuleBasis::common_practice, "four tubes into one"},
    HandRuleRow{HandRule::collector_length, "collector length", "10 to 20 in", trade,
                RuleBasis::common_practice, "V8 engines"},
    HandRuleRow{HandRule::exhaust_period, "exhaust period",
                "l = c theta / (12 k N); c mean speed of sound, theta deg in which the valve is "
                "open, N rpm; here k = 1",
                "Fukuda & Izumi, Mem. Fac. Eng. Yamaguchi Univ. 16 (1965) 71, abstract",
                RuleBasis::original,
                "a small four-stroke; the matching factor k is not known to us, so only its trend "
                "counts: length in proportion to the period over the speed"},
    HandRuleRow{HandRule::stepped_lengths, "stepped lengths",
                "from the length for the upper speed of the band to that for the lower, in equal "
                "steps of about 2 in; shortest for the leading cylinder of the two that fire "
                "closest, longest for the trailing one",
                trade, RuleBasis::common_practice, "banks whose gaps are uneven"},
    HandRuleRow{HandRule::collector_order, "order round the collector",
                "firing goes round the collector; the last part of every primary is straight",
                trade, RuleBasis::common_practice, "any collector"},
    HandRuleRow{HandRule::build_tolerance, "build tolerance", "1/4 in in every primary", trade,
                RuleBasis::common_practice, "careful work"},
};

constexpr bool stand_in_order() {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (static_cast<std::size_t>(rows[i].rule) != i) return false;
  }
  return rows.size() == static_cast<std::size_t>(HandRule::build_tolerance) + 1;
}
static_assert(stand_in_order());

double in_inches(double metres) { return metres / inch; }
double in_cm3(double cubic_metres) { return cubic_metres * 1e6; }

}  // namespace

std::string_view name_of(RuleBasis basis) {
  switch (basis) {
    case RuleBasis::restated:
      return "restated";
    case RuleBasis::original:
      return "original";
    case RuleBasis::common_practice:
      break;
  }
  return trade;
}

std::span<const HandRuleRow> hand_rules() { return rows; }

const HandRuleRow& row_of(HandRule rule) { return rows[static_cast<std::size_t>(rule)]; }

double mean_gas_speed(double speed, double cylinder_volume, double area) {
  return 2 * speed * cylinder_volume / area;
}

// 88,200 A / V rpm, with in2 and in3, is 88,200 A / V inches per minute of m2 and m3.
double torque_peak_of_area(double area, double cylinder_volume) {
  return 88200 * inch * area / cylinder_volume * rpm;
}

double speed_of_length(double length, double exhaust_opens_deg) {
  return 850 * (180 + exhaust_opens_deg) / (in_inches(length) + 3) * rpm;
}

double length_of_speed(double speed, double exhaust_opens_deg) {
  return (850 * (180 + exhaust_opens_deg) / (speed / rpm) - 3) * inch;
}

double bore_of_length(double length, double cylinder_volume) {
  return 2.1 * inch * std::sqrt(in_cm3(cylinder_volume) / (25 * (in_inches(length) + 3)));
}

Range tube_of_power(double power) {
  constexpr double known = 685.0 / 8 * horsepower;
  const auto carried_over = [&](double outside) {
    const double area = circle_area(outside - 2 * wall_16_gauge) * power / known;
    return circle_diameter(area) + 2 * wall_16_gauge;
  };
  return {carried_over(2 * inch), carried_over(2.125 * inch)};
}

double power_of_flow(double flow) { return 0.257 * horsepower * flow / cubic_foot_per_minute; }

double flow_of_power(double power) { return power / (0.257 * horsepower) * cubic_foot_per_minute; }

double secondary_bore(double primary_bore) { return 0.93 * std::numbers::sqrt2 * primary_bore; }

Range collector_of_tube(double outside_diameter) {
  return {1.7 * outside_diameter, 2.0 * outside_diameter};
}

double collector_of_length(double length, double cylinder_volume) {
  return 2 * inch * std::sqrt(2 * in_cm3(cylinder_volume) / (25 * (in_inches(length) + 3)));
}

Range merge_neck_of_tube(double outside_diameter) {
  return {1.3 * outside_diameter, 1.5 * outside_diameter};
}

double length_of_period(double sound_speed, double period_deg, double speed) {
  return sound_speed * period_deg / (12 * speed / rpm);
}

}  // namespace pulsewright::models
