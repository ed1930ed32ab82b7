// The text of a case file with other headers in it; what does not speak of its headers stays
// as it is written.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pulsewright::cases {

// `case_text` without its [[header]] tables and without [[dyno]] and [tune], which name headers and
// their parts, what belongs to them, and comments directly above them; in their place the texts of
// `headers`, each one [[header]] table with line feeds at the ends of its lines, blank lines
// between. At the end of a text that has none. Throws std::invalid_argument for a text that is no
// TOML.
std::string with_headers(std::string_view case_text, const std::vector<std::string>& headers);

}  // namespace pulsewright::cases
