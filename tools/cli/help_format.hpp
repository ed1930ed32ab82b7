// Help of the command line in lines of 80 characters. The command line of an example, "Example: ",
// is broken with a backslash between arguments, so that a shell understands it as it stands.
#pragma once

#include <CLI/CLI.hpp>
#include <memory>

namespace pulsewright::tools {

// To be given to the program before it gets its verbs, which take it over.
std::shared_ptr<CLI::Formatter> help_format();

}  // namespace pulsewright::tools
