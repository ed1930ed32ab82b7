// A decimal number written as text.
#pragma once

#include <optional>
#include <string_view>

namespace pulsewright::cases {

// The value of `text` where all of it is one number as std::from_chars takes it: "12", "-0.5",
// "1e-3"; no spaces, no plus before it. None for another text and for a number out of range.
std::optional<double> decimal_number(std::string_view text);

}  // namespace pulsewright::cases
