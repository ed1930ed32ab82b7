#include "cases/hand_rules.hpp"

#include <cmath>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

double torque_peak_of_area(double area, double cylinder_volume) {
  return 88200 * in_unit(area, "in2") / in_unit(cylinder_volume, "in3") / 60;
}

double speed_of_length(double length, double exhaust_opens_deg) {
  return 850 * (180 + exhaust_opens_deg) / (in_unit(length, "in") + 3) / 60;
}

double bore_of_length(double length, double cylinder_volume) {
  constexpr double inch = 0.0254;
  return 2.1 * inch *
         std::sqrt(in_unit(cylinder_volume, "cm3") / (25 * (in_unit(length, "in") + 3)));
}

}  // namespace pulsewright::cases
