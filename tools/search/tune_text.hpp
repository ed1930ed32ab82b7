// What a tune has found, in words, as JSON and for a spreadsheet.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "tools/search/tune.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// SI: torques in N m, lengths in m; speeds in rpm. null for what is not known.
nlohmann::json tune_json(const SearchTask& task, const TuneAims& aims, const TuneResult& result);
std::string tune_text(const SearchTask& task, const TuneAims& aims, const TuneResult& result,
                      UnitSystem units);
// One row per design, in the order in which they were computed.
std::string tune_csv(const SearchTask& task, const TuneResult& result, UnitSystem units);

}  // namespace pulsewright::tools
