// pulsewright dyno: measured pulls over the prediction, and calibration to them.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb. exit_code: set to exit_run_failed where a run is no result.
void add_dyno_command(CLI::App& app, int& exit_code);

}  // namespace pulsewright::tools
