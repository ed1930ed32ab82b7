// The verb `sweep`: a map of torque and power over one or two dimensions of a header.
#pragma once

#include <CLI/CLI.hpp>

#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

// exit_code is set when the verb has run. process_group: those that share it; null where this one
// is alone.
void add_sweep_command(CLI::App& app, int& exit_code, ProcessGroup* process_group);

}  // namespace pulsewright::tools
