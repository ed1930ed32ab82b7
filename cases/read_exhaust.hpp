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

// What is wrong with bends that turn over more length than the tube has, m along its centreline;
// empty if they fit, and what to do about it.
std::string bends_too_long(const std::vector<models::Bend>& bends, double tube_length,
                           const QuantityText& shown);
inline constexpr std::string_view bends_advice =
    "an arc is as long as its angle times its radius: check both, or make the tube longer";

}  // namespace pulsewright::cases
