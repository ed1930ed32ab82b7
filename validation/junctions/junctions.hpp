// Merges: steady losses of wyes, mixing, dividing flow, and pulses through a merge.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// losses.cpp
CaseReport wye_losses(Broken broken);
CaseReport equal_area_wye_losses(Broken broken);
CaseReport parallel_mixing(Broken broken);
CaseReport jet_suction(Broken broken);
CaseReport dividing_flow(Broken broken);

// measured.cpp
CaseReport measured_combining(Broken broken);
CaseReport measured_dividing(Broken broken);
CaseReport measured_choking(Broken broken);

// balance_pipes.cpp
CaseReport balance_pipes(Broken broken);

// pulses.cpp
CaseReport small_pulses(Broken broken);
CaseReport finite_pulses(Broken broken);

}  // namespace pulsewright::validation
