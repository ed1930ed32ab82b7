// The verb `tune`: the best header within what fits the car, and the verdict on it.
#pragma once

#include <CLI/CLI.hpp>

#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

// exit_code is set when the verb has run. process_group: those that share it; null where this one
// is alone.
void add_tune_command(CLI::App& app, int& exit_code, ProcessGroup* process_group);

}  // namespace pulsewright::tools
