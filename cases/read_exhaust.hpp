// Reads what all exhaust pipes of a case file share.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// `top` is [exhaust]. The air outside is that of `ambient` unless the table says otherwise.
Exhaust read_exhaust(Section top, const models::Ambient& ambient);

// The key `bends` of [exhaust], of a header or of a pipe; empty if it is missing.
std::vector<models::Bend> read_bends(Section& section);

}  // namespace pulsewright::cases
