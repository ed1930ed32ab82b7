// pulsewright new: asks for what a case file needs, or takes the answers from a file, and writes
// it.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_new_command(CLI::App& app);

}  // namespace pulsewright::tools
