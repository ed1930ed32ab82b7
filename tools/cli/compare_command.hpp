// pulsewright compare: headers by speeds into a results file and a table.
#pragma once

#include <CLI/CLI.hpp>

#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

// Adds the verb. Its callback stores the exit code where that is not exit_done.
// process_group: the processes that compute together, null where this is the only one.
void add_compare_command(CLI::App& app, int& exit_code, ProcessGroup* process_group);

}  // namespace pulsewright::tools
