// The verb `tolerance`: what each tube and size of a header is worth, and the spread of the
// finished one.
#pragma once

#include <CLI/CLI.hpp>

#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

// exit_code is set when the verb has run. process_group: those that share it; null where this one
// is alone.
void add_tolerance_command(CLI::App& app, int& exit_code, ProcessGroup* process_group);

}  // namespace pulsewright::tools
