// What the verbs of the command line share.
#pragma once

#include <CLI/CLI.hpp>
#include <atomic>
#include <nlohmann/json.hpp>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/quantity_text.hpp"
#include "models/network/specification.hpp"
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

  // The same for what the case reader says.
  cases::MessageUnits message_units() const {
    return units == UnitSystem::inch ? cases::MessageUnits::inch : cases::MessageUnits::metric;
  }
};

void add_common_options(CLI::App& app, CommonOptions& options);
// An option whose one value is a list separated by commas, e.g. --speeds 5000,6000; given again, it
// adds to the list. Throws UsageError for an empty entry.
void add_list_option(CLI::App& app, const std::string& name, std::vector<std::string>& list,
                     const std::string& type_name, const std::string& description);
// Says on stderr that `check` has remarks on the case, if it has.
void mention_remarks(const cases::CaseFile& case_file, bool quiet);
// --merge-model; allowed are the names that the case file uses.
void add_law_option(CLI::App& app, std::optional<models::JunctionLaw>& law);
// --cells, within the range of the key run.cell_size: m. Throws UsageError, with the range in
// these units.
double cells_option(const std::string& text,
                    cases::MessageUnits units = cases::MessageUnits::metric);
// "6000 rpm" or "6000", within the range of the key run.from: rev/s. Throws UsageError that names
// the option.
double speed_option(const std::string& option, const std::string& text);
// Speeds of a list: each entry one speed, as above, or a range of them, "3000-5000:250" from the
// first to the second in steps of the third. rev/s, in the order of the list, none twice. Throws
// UsageError that names the option.
std::vector<double> speeds_option(const std::string& option, const std::vector<std::string>& list);
// "4500-7000": the lower and the upper speed of a band, each as speed_option() takes it, rev/s.
// Throws UsageError that names the option.
std::pair<double, double> band_option(const std::string& option, const std::string& text);
unsigned all_cores();
// JSON as every verb prints it: indented, and in ASCII, so that it has no character that a terminal
// would obey. Bytes that are no UTF-8 are replaced.
std::string json_text(const nlohmann::json& json);

// Ctrl-C and SIGTERM. Between watch_interrupts() and end_at_interrupts() the first one sets
// interrupted(), for work that looks at it and ends cleanly, and a second one ends the program at
// once; outside, as at the start, the first one does, with a message and exit code 1.
const std::atomic<bool>& interrupted();
void watch_interrupts();
void end_at_interrupts();

}  // namespace pulsewright::tools
