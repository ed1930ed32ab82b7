// Rules by which header shops size tubes: a second opinion on a case, not part of the simulation.
//
// Each rule is a row of hand_rules(), with formula, source and range; those with a formula have a
// function here, too. The formulas are in the units of their sources, inches, degrees, rpm and
// horsepower; arguments and values here are in SI (speeds in rev/s, angles in deg). None of them
// knows the gas: where they disagree with each other, that is how well they are known.
#pragma once

#include <span>
#include <string_view>

namespace pulsewright::models {

enum class HandRule {
  mean_velocity,
  tuned_length,
  bore_of_length,
  tube_of_power,
  power_of_flow,
  secondary,
  collector_of_tube,
  collector_of_length,
  merge_neck,
  collector_length,
  exhaust_period,
  stepped_lengths,
  collector_order,
  build_tolerance
};

// What a rule rests on.
enum class RuleBasis {
  restated,        // a publication, read as others restate it
  original,        // read in the publication, or in its abstract
  common_practice  // no source
};
std::string_view name_of(RuleBasis basis);  // "restated", "common practice, no source", ...

struct HandRuleRow {
  HandRule rule;
  std::string_view name;     // "mean velocity"
  std::string_view formula;  // as its source has it
  std::string_view source;
  RuleBasis basis;
  std::string_view range;  // of validity
};

// Every rule, in the order of the enumerators.
std::span<const HandRuleRow> hand_rules();
const HandRuleRow& row_of(HandRule rule);

struct Range {
  double least = 0, most = 0;

  double middle() const { return (least + most) / 2; }
  bool holds(double value) const { return value >= least && value <= most; }
};

// Mean gas speed, m/s, over the exhaust stroke: one cylinder's swept volume (m3) through a tube of
// this bore area (m2) in half a turn, 2 N V / A.
double mean_gas_speed(double speed, double cylinder_volume, double area);
inline constexpr Range gas_speed_at_torque_peak{240 * 0.3048, 260 * 0.3048};  // m/s

// Mean-velocity rule: the speed at which the torque peaks with tubes of this bore area, where the
// gas has 245 ft/s in the mean.
double torque_peak_of_area(double area, double cylinder_volume);

// Tuned length: the speed to which a length (m, valve to merge) is tuned, and the length for a
// speed. exhaust_opens_deg: deg BBDC, as advertised.
double speed_of_length(double length, double exhaust_opens_deg);
double length_of_speed(double speed, double exhaust_opens_deg);

// Bore (m) that goes with a length (m, valve to merge).
double bore_of_length(double length, double cylinder_volume);

// Outside diameters (m) that shops pick for a power (W) of one cylinder. The rule is known for one
// power; to others it is carried over here by bore area in proportion to power, walls of 16 gauge.
Range tube_of_power(double power);

// Power (W) of one cylinder by the flow of its intake port, m3/s at 28 inH2O; and back.
double power_of_flow(double flow);
double flow_of_power(double power);

// 4-2-1 headers: length of the primaries from the valve, m, and the bore of a secondary by that of
// its two primaries.
inline constexpr double paired_primary_length = 15 * 0.0254;
double secondary_bore(double primary_bore);

// Collector of four tubes: inside diameters (m) by the outside diameter of a primary; by a tuned
// length; of its neck.
Range collector_of_tube(double outside_diameter);
double collector_of_length(double length, double cylinder_volume);
Range merge_neck_of_tube(double outside_diameter);
inline constexpr Range collector_lengths{10 * 0.0254, 20 * 0.0254};  // m

// Exhaust period: the length (m, valve to the open end, end correction included) of greatest output
// with a matching factor of 1. sound_speed: mean in the pipe, m/s; period: deg of crank in which
// the exhaust valve is open.
double length_of_period(double sound_speed, double period_deg, double speed);

}  // namespace pulsewright::models
