// Reads a valve of a case file: its lift from a cam card or a table, its flow from a bench or from
// discharge coefficients.
#pragma once

#include "cases/section.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::cases {

// `top` is [exhaust_valve] or [intake_valve]. Notes what is wrong in `problems`.
models::ValveSpecification read_valve(Section top, Problems& problems, bool exhaust);

}  // namespace pulsewright::cases
