// pulsewright conditions: torque in other air and with another fuel.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

void add_conditions_command(CLI::App& app);

}  // namespace pulsewright::tools
