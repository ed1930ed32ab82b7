// What grid, time step and number of cycles do to the figures of an engine.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// worked_example.cpp
CaseReport grid_convergence_example(Broken broken);

// engines.cpp
CaseReport single_cylinder_grids(Broken broken);
CaseReport demo_grids_5000(Broken broken);
CaseReport demo_grids_6000(Broken broken);
CaseReport demo_time_steps(Broken broken);
CaseReport demo_cycles(Broken broken);

}  // namespace pulsewright::validation
