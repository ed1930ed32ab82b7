// A sweep in words, as JSON (which the file keeps and the page of the report draws), and for a
// spreadsheet.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "tools/search/sweep.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// SI: lengths in m, torques in N m, power in W; speeds in rpm. null for what is not known.
nlohmann::json sweep_json(const SearchTask& task, const SweepMap& map);
std::string sweep_text(const SearchTask& task, const SweepMap& map, UnitSystem units);
// One row per design of the grid.
std::string sweep_csv(const SearchTask& task, const SweepMap& map, UnitSystem units);

// What the JSON of every search begins with: verb, title, header, speeds, band, grid.
nlohmann::json search_json(const SearchTask& task);
// Two lines: the case; the header, its speeds and its grid.
std::string search_heading(const SearchTask& task, std::string_view what, UnitSystem units);

}  // namespace pulsewright::tools
