// Values of the variables of a search in words: "32 in", "1-7/8 in OD, 16 ga", "1 5 3 7".
#pragma once

#include <string>

#include "cases/case_file.hpp"
#include "cases/tune.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// A length (m) to a tenth of a millimetre or a hundredth of an inch, without trailing noughts.
std::string length_text(double length, UnitSystem units);

// "512.3 N m".
std::string torque_text(double torque, UnitSystem units, int digits = 1);

// header: whose collectors an order is that of.
std::string value_text(const cases::HeaderDesign& header, const cases::DesignVariable& variable,
                       double value, UnitSystem units);

// A step of length that tolerance and limits are told for: half an inch, m.
inline constexpr double half_inch = 0.0127;

}  // namespace pulsewright::tools
