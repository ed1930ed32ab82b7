// pulsewright report: a results file as one page for the browser.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_report_command(CLI::App& app, int& exit_code);

}  // namespace pulsewright::tools
