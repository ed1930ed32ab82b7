// The whole program: verbs, exit codes, and what becomes of errors.
#pragma once

namespace pulsewright::tools {

// Catches everything and turns it into a message on stderr and an exit code (command.hpp).
int run_program(int argc, char** argv);

}  // namespace pulsewright::tools
