// Plots by gnuplot: one script with the data of all plots, one SVG file per plot.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "validation/run_cases.hpp"

namespace pulsewright::validation {

// Draws all plots of the outcomes with gnuplot, as SVG text, in the order of cases and plots. The
// text is empty for a plot that could not be drawn; without gnuplot all are empty. Temporary files
// are written in the folder (must exist) and removed. Throws std::runtime_error when files cannot
// be written.
std::vector<std::vector<std::string>> draw_plots(const std::vector<CaseOutcome>& outcomes,
                                                 const std::filesystem::path& folder);

}  // namespace pulsewright::validation
