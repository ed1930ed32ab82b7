// A tube in the words by which it is ordered.
#pragma once

#include <string>

#include "cases/quantity.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// Inside diameter and two walls, m; without a wall the inside diameter.
double outside_diameter(const cases::Tube& tube);

// "1-7/8 in OD, 16 ga", "42.4 mm OD, 1.5 mm wall": outside diameter in inches where it is a whole
// number of sixteenths, otherwise in mm; the wall as Birmingham gauge where cases::gauge_wall()
// has it, otherwise in mm. Empty where the wall is not given: such a tube goes by its inside
// diameter. Both inputs in m. A case keeps no text of its tubes, but what it says of them is
// inside diameter plus two walls, which gives the stock size back within a thousandth of a mm.
std::string tube_text(const cases::Tube& tube);

// Whether a wall (m) makes that inside diameter (m) a stock size in sixteenths of an inch.
bool is_inch_size(const cases::Tube& tube);

// "1-7/8", "3/4", "2" for whole sixteenths of an inch, 0 or more.
std::string inch_fraction(long sixteenths);

// A length to cut, m: "13-5/16 in" to the next sixteenth, or "338 mm" to the next millimetre.
std::string cut_length_text(double length, UnitSystem units);

}  // namespace pulsewright::tools
