// Shipped case files, built into the program.
#pragma once

namespace pulsewright::validation {

extern const char* const hillclimb_v8_text;
extern const char* const single_cylinder_text;

}  // namespace pulsewright::validation
