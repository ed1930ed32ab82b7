// Text in lines of limited width, for a terminal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace pulsewright::cases {

inline constexpr std::size_t terminal_width = 80;

// The text with line feeds between its words, so that no line is wider than `width` characters
// unless a single word is; `indent` blanks stand before every line but the first. The first line
// begins at column `first`. Line feeds of the text stay, and so do blanks that begin one of its
// lines. No line feed at the end.
std::string wrapped(std::string_view text, std::size_t indent = 0, std::size_t first = 0,
                    std::size_t width = terminal_width);

}  // namespace pulsewright::cases
