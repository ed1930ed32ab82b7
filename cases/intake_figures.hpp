// What plenum, throttle and air box come to, in figures. From the case alone, nothing is simulated.
#pragma once

#include <optional>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

// Pressure differences at which carburettors with four and with two barrels are rated, Pa: 1.5 and
// 3.0 inHg (common practice, no source).
inline constexpr double four_barrel_drop = 1.5 * 3386.38;
inline constexpr double two_barrel_drop = 3.0 * 3386.38;

struct IntakeFigures {
  // Of the throttle as far as it is open, m2, and the flows of air of 20 degC and 1 atm at those
  // differences, m3/s; of a runner where each has its own. None without a throttle in the case.
  std::optional<double> throttle_area, four_barrel_flow, two_barrel_flow;
  // What the engine asks of it at its highest speed with a volumetric efficiency of 1, m3/s, and
  // the depression behind it by the square of that over the rated flow, Pa; none where the square
  // law has ended.
  std::optional<double> demand, depression;
  std::optional<double> plenum_over_displacement;
  // c / (2 pi) sqrt(A / (V L)), Hz, in air of the day, of the plenum behind its barrels and of the
  // air box behind its tube, by itself.
  std::optional<double> plenum_frequency, air_box_frequency;
};

// The case must come from the reader and have an engine.
IntakeFigures intake_figures(const CaseFile& case_file);

}  // namespace pulsewright::cases
