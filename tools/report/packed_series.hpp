// Long series of numbers as short text, for the page.
//
// Steps: each value is rounded to a whole multiple of a step; the multiples become differences from
// one to the next (zigzag: 0, -1, 1, -2, ... -> 0, 1, 2, 3, ...); seven bits to a byte, low first,
// the eighth bit set on all but the last byte of a number; zlib; base64. Smooth traces take less
// than a byte per value. page/src/series.js reads it.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace pulsewright::tools {

// Values differ by at most half a step, and float round-off, from what is read back. Throws
// std::invalid_argument for a value that is not finite or beyond 2^53 steps, and a step that is not
// positive.
std::string pack_series(std::span<const float> values, double step);

// A text in the last two steps of it: zlib, base64.
std::string pack_text(std::string_view text);

}  // namespace pulsewright::tools
