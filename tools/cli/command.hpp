// What the verbs of the command line share.
#pragma once

#include <CLI/CLI.hpp>
#include <atomic>
#include <functional>
#include <optional>
#include <string>

#include "models/network/specification.hpp"
#include "tools/spread/process_group.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// Exit codes of the program.
inline constexpr int exit_done = 0;
inline constexpr int exit_run_failed = 1;
inline constexpr int exit_wrong_input = 2;

// Input that is wrong beyond what the case reader sees: exit code 2.
class UsageError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct CommonOptions {
  bool quiet = false;
  bool json = false;
  UnitSystem units = UnitSystem::metric;
};

void add_common_options(CLI::App& app, CommonOptions& options);
// --merge-model; allowed are the names that the case file uses.
void add_law_option(CLI::App& app, std::optional<models::JunctionLaw>& law);
// --cells, within the range of the key run.cell_size: m. Throws UsageError.
double cells_option(const std::string& text);
// "6000 rpm" or "6000": rev/s.
double speed_option(const std::string& option, const std::string& text);
unsigned all_cores();

// Set by the first Ctrl-C or SIGTERM; a second one ends the program at once.
const std::atomic<bool>& interrupted();
void watch_interrupts();

// Each adds its verb; process_group: the processes that compute together, null where this is the
// only one; the verb's callback stores the exit code.
void add_check_command(CLI::App& app, int& exit_code);
void add_run_command(CLI::App& app, int& exit_code);
void add_compare_command(CLI::App& app, int& exit_code, ProcessGroup* process_group);
void add_report_command(CLI::App& app, int& exit_code);
void add_validate_command(CLI::App& app, int& exit_code);

// The whole program. Catches everything and turns it into a message and an exit code.
int run_program(int argc, char** argv);

}  // namespace pulsewright::tools
