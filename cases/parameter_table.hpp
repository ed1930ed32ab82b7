// The parameter table: every key of a case file, once.
#pragma once

#include <span>
#include <string_view>

#include "cases/parameters.hpp"

namespace pulsewright::cases {

// One section of the case file and its heading in the manual.
struct SectionText {
  std::string_view section;
  std::string_view prose;
};

std::span<const Parameter> parameters();
std::span<const SectionText> sections();

}  // namespace pulsewright::cases
