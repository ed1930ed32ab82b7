// A case file with other values of some keys: the text is changed where they stand, so that
// comments and order stay as their author wrote them.
#pragma once

#include <string>
#include <string_view>
#include <toml++/toml.h>
#include <vector>

#include "cases/case_reader.hpp"

namespace pulsewright::cases {

// Sets the key in a parsed case, or takes it away: see Override. A table that is missing is made.
void apply_override(const Override& changed, toml::table& root);

// The text with these keys set: the value replaced where the key stands, else a line below the
// heading of its table, else a table at the end. Not for values that are taken away, and not for
// keys of [[header]]. Throws CaseError for a text that is no TOML, and std::invalid_argument where
// the text cannot be changed so that it reads as it should.
std::string edited_case(std::string_view text, const std::string& file_name,
                        const std::vector<Override>& changes);

// A number or text that stands at the key of a case that was read, without quotes; "" where there
// is none.
std::string written_value(std::string_view text, const std::string& key);

}  // namespace pulsewright::cases
