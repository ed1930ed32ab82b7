// The comparison as tables and plain sentences.
#pragma once

#include <string>

#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string comparison_text(const Comparison& comparison, UnitSystem system);

}  // namespace pulsewright::tools
