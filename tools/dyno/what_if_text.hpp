// What other air and another fuel make of torque, as a table and sentences, as JSON, and for a
// spreadsheet.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/dyno/what_if.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string what_if_text(const WhatIf& outcome, UnitSystem system);
// SI units, speeds in rpm; what is not there is null.
nlohmann::json what_if_json(const WhatIf& outcome);
// One row per change and speed (RFC 4180).
std::string what_if_csv(const WhatIf& outcome, UnitSystem system);

}  // namespace pulsewright::tools
