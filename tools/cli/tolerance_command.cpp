#include "tools/cli/tolerance_command.hpp"

#include <fmt/format.h>
#include <memory>

#include "cases/design_variable.hpp"
#include "tools/cli/search_command.hpp"
#include "tools/search/tolerance_text.hpp"

namespace pulsewright::tools {

namespace {

// Cycles must repeat this much better than those of other runs: what a half inch of one primary
// does is of the order of their tolerance.
constexpr double tighter = 0.1;

struct ToleranceOptions {
  SearchCommand search;
  int samples = 16;
};

void tolerance(const ToleranceOptions& options, int& exit_code, ProcessGroup* process_group) {
  if (options.samples % 2 != 0) {
    throw UsageError(fmt::format("--samples '{}': give an even number; they go in opposite pairs",
                                 options.samples));
  }
  const cases::CaseFile case_file = case_for_search(options.search, process_group);
  SearchOptions chosen = search_options(options.search, "tolerance");
  chosen.variables = cases::all_variables(searched_header(case_file, options.search.header));
  chosen.errors = BuildErrors::uniform;
  chosen.tolerance = tighter * case_file.run.settings.tolerance;
  chosen.settings = fmt::format("samples {}", options.samples);
  const SearchTask task(case_file, std::move(chosen));
  exit_code = run_search(options.search, task, process_group, [&](TrialHistory& history) {
    const Tolerance found = tolerance_of(task, options.samples, history);
    SearchFindings findings;
    findings.json = tolerance_json(task, found);
    findings.text = tolerance_text(task, found, options.search.common.units);
    findings.csv = tolerance_csv(task, found, options.search.common.units);
    findings.sound = found.known();
    return findings;
  });
}

}  // namespace

void add_tolerance_command(CLI::App& app, int& exit_code, ProcessGroup* process_group) {
  auto options = std::make_shared<ToleranceOptions>();
  CLI::App* verb = app.add_subcommand(
      "tolerance", "Torque per half inch of every tube and per stock size; what must be exact");
  add_search_options(*verb, options->search, "tolerance.h5");
  verb->add_option("--samples", options->samples,
                   "Finished headers with errors within build.tolerance to compute, an even number")
      ->capture_default_str()
      ->type_name("N")
      ->check(CLI::Range(0, 10000));
  verb->footer(
      "Example: pulsewright tolerance cases/hillclimb-v8.toml --header stepped-length --csv "
      "tolerance.csv");
  verb->callback(
      [options, &exit_code, process_group] { tolerance(*options, exit_code, process_group); });
}

}  // namespace pulsewright::tools
