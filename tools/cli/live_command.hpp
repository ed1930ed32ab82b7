// pulsewright live: writes the live page, with a case or without.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_live_command(CLI::App& app);

}  // namespace pulsewright::tools
