// pulsewright check: reads a case and shows what it understood; simulates nothing.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_check_command(CLI::App& app);

}  // namespace pulsewright::tools
