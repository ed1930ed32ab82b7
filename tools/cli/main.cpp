#include "tools/cli/program.hpp"

int main(int argc, char** argv) { return pulsewright::tools::run_program(argc, argv); }
