// Foreign text - of case files, results files and command lines - as a terminal may show it.
//
// A terminal obeys control characters, and characters that set the direction of writing change the
// order in which others are read: whoever writes them into a name or a title changes what a message
// seems to say. They are shown by their code, as TOML would write them: \u001b. Classes: General
// Category Cc, Zl and Zp, Bidi_Control, and the byte-order mark (Unicode Standard 15, chapter 23,
// from memory).
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace pulsewright::cases {

// Number of bytes of the UTF-8 character at text[i]; 0 if there is none.
std::size_t character_bytes(std::string_view text, std::size_t i);

// Place of the first character that is not shown as itself, npos if there is none. Bytes that are
// no UTF-8 are among them, the control characters in `let_through` are not.
std::size_t find_invisible(std::string_view text, std::string_view let_through = "");

// The code of the character at text[i] as it is shown: "\u202e"; "\x9b" for a byte that is no
// UTF-8.
std::string character_code(std::string_view text, std::size_t i);

// The text with every such character replaced by its code.
std::string visible(std::string_view text);

// The same for a text of several lines, such as a message: line feeds stay (carriage returns do
// not, which would let one line replace another), and each line is cut to 2000 bytes.
std::string visible_lines(std::string_view text);

// visible(), cut to at most `most` (at least 4) bytes; what is cut ends with "...". Never cut
// inside a character or a code.
std::string shortened(std::string_view text, std::size_t most = 60);

}  // namespace pulsewright::cases
