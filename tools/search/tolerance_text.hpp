// What the dimensions of a header are worth, in words, as JSON and for a spreadsheet.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "tools/search/tolerance.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// SI: torques in N m, lengths in m; speeds in rpm. null for what is not known.
nlohmann::json tolerance_json(const SearchTask& task, const Tolerance& tolerance);
std::string tolerance_text(const SearchTask& task, const Tolerance& tolerance, UnitSystem units);
// One row per dimension and change.
std::string tolerance_csv(const SearchTask& task, const Tolerance& tolerance, UnitSystem units);

}  // namespace pulsewright::tools
