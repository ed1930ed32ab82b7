// `pulsewright cutsheet`: from a header to the bench.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

void add_cutsheet_command(CLI::App& app);

}  // namespace pulsewright::tools
