// One operating point in full, as text and as JSON.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "models/engine/pipe_simulation.hpp"
#include "models/figures/point_result.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

std::string point_text(const std::string& title, const models::PointResult& point,
                       UnitSystem system);
nlohmann::json point_json(const models::PointResult& point);

std::string pipes_text(const std::string& title, const models::PipeSimulationResult& result,
                       UnitSystem system);
nlohmann::json pipes_json(const models::PipeSimulationResult& result);

}  // namespace pulsewright::tools
