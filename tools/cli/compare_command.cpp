#include "tools/cli/compare_command.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>
#include <utility>

#include "cases/case_reader.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/measured_sheet.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/study_runs.hpp"
#include "tools/report/report_page.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/results_store.hpp"
#include "tools/study/band.hpp"
#include "tools/study/comparison_csv.hpp"
#include "tools/study/comparison_json.hpp"
#include "tools/study/comparison_text.hpp"

namespace pulsewright::tools {

namespace {

struct CompareOptions {
  CommonOptions common;
  std::string case_file;
  std::string output = "results.h5";
  std::vector<std::string> headers, speeds;
  std::optional<std::string> cell_size;
  std::optional<std::string> report, csv, band;
  std::optional<int> added_speeds;
  std::optional<models::JunctionLaw> law;
  std::optional<unsigned> jobs;
  bool quick = false, interference = false, resume = false, overwrite = false, no_split = false;
};

// Two names of one file, whether it is there or not.
bool is_same_file(const std::string& one, const std::string& other) {
  namespace fs = std::filesystem;
  std::error_code ignored;
  return fs::equivalent(one, other, ignored) ||
         fs::weakly_canonical(fs::absolute(one), ignored) ==
             fs::weakly_canonical(fs::absolute(other), ignored);
}

void require_other_place(std::string_view option, const std::optional<std::string>& place,
                         const CompareOptions& options) {
  if (!place) return;
  if (place->empty()) throw UsageError(fmt::format("{} '': name a file", option));
  if (is_same_file(options.output, *place)) {
    throw UsageError(
        fmt::format("-o '{}' and {} '{}' are one file; name two", options.output, option, *place));
  }
  if (is_same_file(options.case_file, *place)) {
    throw UsageError(
        fmt::format("{} '{}' is the case file itself; name another file", option, *place));
  }
}

void require_places(const CompareOptions& options) {
  if (options.output.empty()) throw UsageError("-o '': name a file for the results");
  require_other_place("--report", options.report, options);
  require_other_place("--csv", options.csv, options);
  if (options.report && options.csv && is_same_file(*options.report, *options.csv)) {
    throw UsageError(fmt::format("--report '{}' and --csv '{}' are one file; name two",
                                 *options.report, *options.csv));
  }
}

// `chosen` with what was added to the file that --resume goes on with; as it is where there is no
// file, or one that cannot be read as it is.
StudyOptions with_stored(const CompareOptions& options, const StudyOptions& chosen) {
  if (!options.resume || !std::filesystem::exists(options.output)) return chosen;
  try {
    return with_added(chosen, ResultsReader(options.output).plan());
  } catch (const StoreError&) {
    return chosen;  // opening it says what is wrong
  }
}

// Speeds in the band are needed to judge over it.
void require_speeds_in(const std::pair<double, double>& band, const std::vector<double>& speeds) {
  if (std::any_of(speeds.begin(), speeds.end(),
                  [&](double speed) { return in_band(speed, band.first, band.second); })) {
    return;
  }
  throw UsageError(fmt::format("--band {:.0f}-{:.0f}: none of the speeds lies in this band",
                               60 * band.first, 60 * band.second));
}

StudyOptions study_options(const CompareOptions& options, const cases::CaseFile& case_file) {
  StudyOptions chosen;
  chosen.headers = options.headers;
  chosen.speeds = speeds_option("--speeds", options.speeds);
  if (options.cell_size)
    chosen.cell_size = cells_option(*options.cell_size, options.common.message_units());
  chosen.law = options.law;
  chosen.quick = options.quick;
  chosen.interference = options.interference;
  if (chosen.speeds.empty()) chosen.speeds = case_file.run.speeds;
  if (options.band) {
    chosen.band = band_option("--band", *options.band);
    require_speeds_in(*chosen.band, chosen.speeds);
  }
  return chosen;
}

std::size_t most_added_speeds(const CompareOptions& options, const cases::CaseFile& case_file) {
  if (options.quick) return 0;
  const int given = options.speeds.empty() ? case_file.run.added_speeds : 0;
  return static_cast<std::size_t>(options.added_speeds.value_or(given));
}

// The page, and table or JSON. Returns the exit code. What is stored comes before what is printed,
// which may fail.
int print_results(const CompareOptions& options) {
  using Detail = ResultsReader::Detail;
  const StudyResults results(ResultsReader(options.output),
                             options.report ? Detail::all : Detail::figures);
  const Comparison comparison = compare_headers(results);
  if (options.report) {
    const auto dyno = measured_sheet(results, std::nullopt);
    write_report(results, *options.report, options.common.units, dyno ? &*dyno : nullptr);
  }
  if (options.csv) {
    write_text("--csv", *options.csv, comparison_csv(results, comparison, options.common.units));
  }
  if (!options.common.quiet) {
    print_message(fmt::format("Results are in {}\n", options.output));
    if (options.report) print_message(fmt::format("The report is in {}\n", *options.report));
    if (options.csv) print_message(fmt::format("The table is in {}\n", *options.csv));
  }
  fmt::print("{}\n", options.common.json ? json_text(comparison_json(comparison))
                                         : comparison_text(comparison, options.common.units));
  return is_sound(comparison) ? exit_done : exit_run_failed;
}

void compare(const CompareOptions& options, int& exit_code, ProcessGroup* process_group) {
  require_places(options);
  const cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  if (!case_file.has_engine()) {
    throw UsageError(fmt::format(
        "{}: the case has pipes only, no engine to compare headers on; `pulsewright run` simulates "
        "it",
        options.case_file));
  }
  const StudyOptions chosen = study_options(options, case_file);
  if (options.jobs == 0U && !process_group) {
    throw UsageError("--jobs = '0': a process that is alone needs a thread; allowed are 1 to 1024");
  }
  const Study study(case_file, chosen);
  watch_interrupts();
  if (process_group && !process_group->is_coordinator()) {
    process_group->work(study, interrupted());
    return;
  }
  mention_remarks(case_file, options.common.quiet);
  if (options.report) {
    require_report_place(*options.report);
    require_writable("--report", *options.report, Writing::beside);
  }
  if (options.csv) require_writable("--csv", *options.csv, Writing::in_place);
  const ResultsPlace place{options.output, options.case_file, options.resume, options.overwrite};
  auto store = open_results(place, Study(case_file, with_stored(options, chosen)).plan());
  if (!options.common.quiet) {
    for (const auto& remark : store->remarks()) {
      print_message(fmt::format("pulsewright: {}: {}\n", options.output, remark));
    }
  }
  const RunsOptions runs{.jobs = options.jobs,
                         .quiet = options.common.quiet,
                         .most_added_speeds = most_added_speeds(options, case_file),
                         .split = !options.quick && !options.no_split};
  if (!compute_runs(runs, case_file, chosen, store, process_group)) {
    print_message(
        fmt::format("pulsewright: stopped; finished points are in '{}'. To go on, run the same "
                    "command with --resume\n",
                    options.output));
    exit_code = exit_run_failed;
    return;
  }
  end_at_interrupts();
  exit_code = print_results(options);
}

}  // namespace

void add_compare_command(CLI::App& app, int& exit_code, ProcessGroup* process_group) {
  auto options = std::make_shared<CompareOptions>();
  CLI::App* verb = app.add_subcommand(
      "compare", "Simulate headers over the speed range; results file and table");
  verb->add_option("case", options->case_file, "Case file (TOML)")->required()->type_name("FILE");
  verb->add_option("-o,--output", options->output, "Results file (HDF5)")
      ->capture_default_str()
      ->type_name("FILE");
  verb->add_option("--report", options->report, "Also write the report (HTML)")->type_name("FILE");
  verb->add_option("--csv", options->csv, "Also write the main figures as a table (CSV)")
      ->type_name("FILE");
  add_list_option(*verb, "--headers", options->headers, "NAME,...",
                  "Only these headers, the first is the reference");
  add_list_option(
      *verb, "--speeds", options->speeds, "RPM,...",
      "Only these speeds, also ranges, e.g. 3000-5000:250 (default: those of the case)");
  verb->add_option("--cells", options->cell_size,
                   "Cell size, e.g. \"5 mm\" (default: that of the case)")
      ->type_name("LENGTH");
  add_law_option(*verb, options->law);
  verb->add_option("--band", options->band,
                   "Judge over this band, e.g. 4500-7000 (default: that of the case)")
      ->type_name("RPM-RPM");
  verb->add_option("--add-speeds", options->added_speeds,
                   "Most speeds to add where a difference bends (default: run.added_speeds of the "
                   "case; with --speeds none)")
      ->type_name("N")
      ->check(CLI::Range(0, 100));
  verb->add_flag("--quick", options->quick,
                 "Provisional differences: without the runs that verdicts need");
  verb->add_flag(
      "--no-split", options->no_split,
      "Without the runs that split each difference to the best header into length, tube, "
      "collector and kind, which take a fifth of the time");
  verb->add_flag(
      "--interference", options->interference,
      "Also the pulse interference, for the report: one coarse run more per cylinder and "
      "point");
  verb->add_option("--jobs,-j", options->jobs,
                   "Threads that compute (default: all cores). Under mpirun those of the first "
                   "process (default: 1; 0: it only assigns work)")
      ->check(CLI::Range(0, 1024));
  auto* resume =
      verb->add_flag("--resume", options->resume, "Continue the results file of an earlier run");
  verb->add_flag("--overwrite", options->overwrite, "Replace the results file")->excludes(resume);
  add_common_options(*verb, options->common);
  verb->footer(
      "Example: pulsewright compare cases/hillclimb-v8.toml --headers equal-length,180-degree "
      "--speeds 5000,6000 -o v8.h5");
  verb->callback(
      [options, &exit_code, process_group] { compare(*options, exit_code, process_group); });
}

}  // namespace pulsewright::tools
