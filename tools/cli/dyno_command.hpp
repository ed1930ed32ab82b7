// pulsewright dyno: measured pulls over the prediction, and calibration to them.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_dyno_command(CLI::App& app);

}  // namespace pulsewright::tools
