// Measured over predicted as tables and sentences, as JSON, and for a spreadsheet.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "tools/dyno/dyno_curves.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string dyno_text(const DynoResult& result, UnitSystem system);

// SI units, speeds in rpm; what is not there is null.
nlohmann::json dyno_json(const DynoResult& result);

// One row per header and speed (RFC 4180): measured torque with half its interval and the number of
// pulls, prediction with its interval, difference, the other columns. A value that is not there is
// empty.
std::string dyno_csv(const DynoResult& result, UnitSystem system);

// What may be said of the differences, one sentence each; for text and page.
std::vector<std::string> difference_sentences(const DynoResult& result, UnitSystem system);

}  // namespace pulsewright::tools
