// One operating point in full, as text and as JSON.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "models/engine/pipe_simulation.hpp"
#include "models/figures/point_result.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// The main figures, rounded, in the chosen units.
std::string point_text(const std::string& title, const models::PointResult& point,
                       UnitSystem system);

// Why a point is no result, one text each; empty if it is one. most_cycles: those it was allowed.
std::vector<std::string> point_faults(const models::PointResult& point, int most_cycles);

// All figures by the keys of models/figures/figure_table.inc, without traces and wave diagram;
// `speed_rpm` besides. NaN and infinity become null.
nlohmann::json point_json(const models::PointResult& point);
nlohmann::json ledger_json(const models::Ledger& ledger);

// The end of a run of pipes without an engine: states along each pipe.
std::string pipes_text(const std::string& title, const models::PipeSimulationResult& result,
                       UnitSystem system);
nlohmann::json pipes_json(const models::PipeSimulationResult& result);

}  // namespace pulsewright::tools
