// pulsewright sound: what headers sound like.
#pragma once

#include <CLI/CLI.hpp>

namespace pulsewright::tools {

// Adds the verb.
void add_sound_command(CLI::App& app, int& exit_code);

}  // namespace pulsewright::tools
