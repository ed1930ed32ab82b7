// `pulsewright size`: headers to begin with, by the hand rules.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

void add_size_command(CLI::App& app);

}  // namespace pulsewright::tools
