// Measured pulls over the prediction, for the page.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "tools/dyno/dyno_text.hpp"

namespace pulsewright::tools {

// tools/dyno/dyno_text.hpp's JSON, with what it says of differences between headers in either
// system of units ("sentences").
nlohmann::json dyno_data(const DynoResult& dyno);

}  // namespace pulsewright::tools
