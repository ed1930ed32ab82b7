#include "tools/cli/command.hpp"

int main(int argc, char** argv) { return pulsewright::tools::run_program(argc, argv); }
