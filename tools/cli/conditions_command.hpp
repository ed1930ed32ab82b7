// pulsewright conditions: torque in other air and with another fuel.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb. exit_code: set to exit_run_failed where a run is no result.
void add_conditions_command(CLI::App& app, int& exit_code);

}  // namespace pulsewright::tools
