// Everything the page shows, as JSON: SI units, speeds in rpm, crank angles in deg.
//
// Figures are rounded to nine significant digits, closer than single precision. Traces and wave
// diagrams are packed (packed_series.hpp) in steps that stand beside them under `step`.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "tools/dyno/dyno_curves.hpp"
#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// Steps of the packed series, Pa: a tenth of what the page prints or less.
inline constexpr double port_pressure_step = 10;
inline constexpr double cylinder_pressure_step = 1000;
inline constexpr double diagram_pressure_step = 100;

// `results` read in all detail, and what compare_headers() makes of them; `units` are those that
// the page begins with. dyno: what was measured, null without.
nlohmann::json report_data(const StudyResults& results, const Comparison& comparison,
                           UnitSystem units, const DynoResult* dyno);

// What is drawn over speed: figure, heading, unit (torque, power, percent, degree, pressure),
// by_cylinder.
nlohmann::json curve_charts();

// Adds to the findings of a search what the modules of every page look for: speeds, units, and one
// header.
void add_search_frame(nlohmann::json& findings, UnitSystem units);

}  // namespace pulsewright::tools
