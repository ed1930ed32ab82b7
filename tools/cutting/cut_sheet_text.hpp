// A cutting sheet as text, JSON and CSV. Lengths to cut stand in sixteenths of an inch or whole
// millimetres, angles in whole degrees; JSON has them in m and deg as they are, too.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/cutting/cut_sheet.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string cut_sheet_text(const CutSheet& sheet, UnitSystem units);

// Lengths: {m, metric, inch}, the last two as they are shown.
nlohmann::json cut_sheet_json(const CutSheet& sheet);

// One row per piece.
std::string cut_sheet_csv(const CutSheet& sheet, UnitSystem units);

}  // namespace pulsewright::tools
