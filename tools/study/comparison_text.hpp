// The comparison as a table and plain sentences, and as JSON.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string comparison_text(const Comparison& comparison, UnitSystem system);

// SI units, speeds in rpm; see the names of the fields in comparison.hpp.
// One difference with its margin and verdict, as in comparison_json.
nlohmann::json difference_json(const Difference& difference);
nlohmann::json comparison_json(const Comparison& comparison);

}  // namespace pulsewright::tools
