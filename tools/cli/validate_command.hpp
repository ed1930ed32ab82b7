// pulsewright validate: textbook and handbook cases against the program, with a report.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb. Its callback stores the exit code where that is not exit_done.
void add_validate_command(CLI::App& app, int& exit_code);

}  // namespace pulsewright::tools
