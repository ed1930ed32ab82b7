// The manual page of the case file, made from the parameter table.
#pragma once

#include <string>

namespace pulsewright::cases {

// MANUAL.md, or a text without markup for a terminal.
enum class ManualForm { markdown, plain };

std::string manual_page(ManualForm form);

}  // namespace pulsewright::cases
