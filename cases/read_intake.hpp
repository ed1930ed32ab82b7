// Reads the intake of a case file: runners, plenum, throttle, air box.
#pragma once

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// `section` is [intake].
Intake read_intake(Section section);

}  // namespace pulsewright::cases
