// The comparison as JSON.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "tools/study/comparison.hpp"

namespace pulsewright::tools {

// One header against another one: differences with their intervals and the verdict, as in
// comparison_json, without the names.
nlohmann::json pair_json(const PairwiseComparison& pair);
// Peaks, means over the band by the keys of the table of figures, and counts of points, as in
// comparison_json.
nlohmann::json header_figures_json(const HeaderFigures& figures);
// SI units, speeds in rpm; figures by the keys of the table of figures.
nlohmann::json comparison_json(const Comparison& comparison);

}  // namespace pulsewright::tools
