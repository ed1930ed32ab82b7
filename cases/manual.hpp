// The manual page of the case file, printed from the parameter table.
#pragma once

#include <string>

namespace pulsewright::cases {

// The manual page of the case file in Markdown, made from the parameter table.
std::string manual_page();

}  // namespace pulsewright::cases
