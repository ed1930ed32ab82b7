// Steady flow through nozzles, pipes and losses.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// nozzles.cpp
CaseReport nozzle_subsonic(Broken broken);
CaseReport nozzle_supersonic(Broken broken);
CaseReport nozzle_with_shock(Broken broken);
CaseReport nozzle_shock_limit_cycle(Broken broken);
CaseReport area_change(Broken broken);

// pipes.cpp
CaseReport fanno_pipe(Broken broken);
CaseReport rayleigh_pipe(Broken broken);
CaseReport friction_and_heat(Broken broken);

// losses.cpp
CaseReport sudden_enlargement(Broken broken);
CaseReport conical_diffuser(Broken broken);
CaseReport bend_losses(Broken broken);
CaseReport choked_orifice(Broken broken);

// tube_steps.cpp
CaseReport tube_steps(Broken broken);
CaseReport merge_neck(Broken broken);

}  // namespace pulsewright::validation
