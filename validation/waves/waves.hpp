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
CaseReport two_gas_tubes(Broken broken);
CaseReport burnt_fraction_carried(Broken broken);
CaseReport burnt_step_carried(Broken broken);

// simple_waves.cpp
CaseReport simple_wave_order(Broken broken);
CaseReport simple_wave_totals(Broken broken);
CaseReport wave_speeds(Broken broken);
CaseReport wave_superposition(Broken broken);

// ends.cpp
CaseReport wave_at_closed_end(Broken broken);
CaseReport wave_at_open_end(Broken broken);
CaseReport shock_at_closed_end(Broken broken);

// blast_waves.cpp
CaseReport shu_osher(Broken broken);
CaseReport blast_interaction(Broken broken);

// driven_tubes.cpp: measured
CaseReport driven_tube_straight(Broken broken);
CaseReport driven_tube_stepped(Broken broken);
CaseReport driven_tube_tapered(Broken broken);

}  // namespace pulsewright::validation
