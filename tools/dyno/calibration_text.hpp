// A calibration as tables and sentences, and as JSON.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/dyno/calibration.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string calibration_text(const Calibration& calibration, UnitSystem system);
// SI units, knobs in their own, speeds in rpm; what is not there is null.
nlohmann::json calibration_json(const Calibration& calibration);

}  // namespace pulsewright::tools
