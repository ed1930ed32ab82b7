// The method of characteristics against exact solutions and against the finite-volume method.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// unsteady.cpp
CaseReport characteristics_simple_wave(Broken broken);
CaseReport characteristics_ends(Broken broken);
CaseReport characteristics_contact(Broken broken);

// steady.cpp
CaseReport characteristics_taper(Broken broken);
CaseReport characteristics_friction(Broken broken);
CaseReport characteristics_heat(Broken broken);

// blowdown.cpp
CaseReport blowdown_two_methods(Broken broken);
CaseReport engine_two_methods(Broken broken);

}  // namespace pulsewright::validation
