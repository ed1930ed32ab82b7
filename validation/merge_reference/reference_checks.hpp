// Checks of the three-dimensional reference itself: against the one-dimensional program, and
// against the traces that are stored.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// A pulse in a straight tube, inclined to the grid, against one pipe.
CaseReport reference_straight_tube(Broken broken);

// A merge once more on a coarse grid.
CaseReport reference_again(Broken broken);

}  // namespace pulsewright::validation
