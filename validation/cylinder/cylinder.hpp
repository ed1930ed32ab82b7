// Cylinder and valve: closed cycles and blowdown with an exact solution, heat, burning, flow bench.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// gas_exchange.cpp
CaseReport blowdown_closed_form(Broken broken);
CaseReport vessel_filling(Broken broken);
CaseReport flow_bench_conversion(Broken broken);

// cycles.cpp
CaseReport otto_cycle(Broken broken);
CaseReport dual_cycle(Broken broken);
CaseReport motored_with_heat(Broken broken);
CaseReport simple_heat_release(Broken broken);

// formulas.cpp
CaseReport heat_coefficients(Broken broken);
CaseReport wiebe_function(Broken broken);

}  // namespace pulsewright::validation
