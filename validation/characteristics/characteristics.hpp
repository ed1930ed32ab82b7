// The method of characteristics: against exact solutions, and against the finite volumes.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// lines.cpp
CaseReport line_simple_wave(Broken broken);
CaseReport line_ends(Broken broken);
CaseReport line_contact(Broken broken);

// steady_lines.cpp
CaseReport line_taper(Broken broken);
CaseReport line_friction(Broken broken);
CaseReport line_heat(Broken broken);

// blowdown.cpp
CaseReport blowdown_two_methods(Broken broken);
CaseReport engine_two_methods(Broken broken);

}  // namespace pulsewright::validation
