// Pulses of small amplitude against linear acoustics.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// resonance.cpp
CaseReport quarter_wave(Broken broken);
CaseReport helmholtz(Broken broken);

// silencers.cpp
CaseReport expansion_chamber(Broken broken);
CaseReport side_branch(Broken broken);

// built_parts.cpp
CaseReport extended_chamber(Broken broken);
CaseReport helmholtz_branch(Broken broken);
CaseReport perforated_muffler(Broken broken);

// stepped_tube.cpp
CaseReport stepped_tube(Broken broken);

// open_end.cpp
CaseReport unflanged_end(Broken broken);
CaseReport mean_flow(Broken broken);
CaseReport inflow(Broken broken);

// header.cpp
CaseReport header_four_poles(Broken broken);

}  // namespace pulsewright::validation
