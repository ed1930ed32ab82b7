// A value of a case file as a message shows it.
#pragma once

#include <string>
#include <toml++/toml.h>

namespace pulsewright::cases {

// A value as it is written in the file, on one line, visible and cut to 60 bytes
// (visible_text.hpp).
std::string shown_value(const toml::node& node);

}  // namespace pulsewright::cases
