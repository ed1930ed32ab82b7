// Shock tubes and waves: unsteady flow in one pipe against exact solutions.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// shock_tubes.cpp: Toro's two sets, Sod, Lax.
CaseReport shock_tube_sod(Broken broken);
CaseReport shock_tube_sod_toro(Broken broken);
CaseReport shock_tube_toro_1(Broken broken);
CaseReport shock_tube_toro_2(Broken broken);
CaseReport shock_tube_toro_3(Broken broken);
CaseReport shock_tube_right_blast(Broken broken);
CaseReport shock_tube_toro_4(Broken broken);
CaseReport shock_tube_toro_5(Broken broken);
CaseReport shock_tube_lax(Broken broken);

// contacts.cpp
CaseReport contact_carried(Broken broken);

}  // namespace pulsewright::validation
