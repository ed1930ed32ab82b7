// Reads the engine of a case file: cylinders, crank, firing order and banks.
#pragma once

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// `top` is [engine]. Notes what is wrong in `problems`.
Engine read_engine(Section top, Problems& problems);

}  // namespace pulsewright::cases
