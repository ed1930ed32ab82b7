#include "tools/cli/compare_command.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/progress.hpp"
#include "tools/report/report_page.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_store.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/study/comparison_text.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

namespace {

struct CompareOptions {
  CommonOptions common;
  std::string case_file;
  std::string output = "results.h5";
  std::vector<std::string> headers, speeds;
  std::optional<std::string> cell_size;
  std::optional<std::string> report;
  std::optional<models::JunctionLaw> law;
  std::optional<unsigned> jobs;
  bool quick = false, interference = false, resume = false, overwrite = false;
};

// Two names of one file, whether it is there or not.
bool is_same_file(const std::string& one, const std::string& other) {
  namespace fs = std::filesystem;
  std::error_code ignored;
  return fs::equivalent(one, other, ignored) ||
         fs::weakly_canonical(fs::absolute(one), ignored) ==
             fs::weakly_canonical(fs::absolute(other), ignored);
}

void require_places(const CompareOptions& options) {
  if (options.output.empty()) throw UsageError("-o '': name a file for the results");
  if (!options.report) return;
  if (options.report->empty()) throw UsageError("--report '': name a file for the report");
  if (is_same_file(options.output, *options.report)) {
    throw UsageError(fmt::format("-o '{}' and --report '{}' are one file; name two", options.output,
                                 *options.report));
  }
  if (is_same_file(options.case_file, *options.report)) {
    throw UsageError(
        fmt::format("--report '{}' is the case file itself; name another file", *options.report));
  }
}

// --overwrite replaces results, damaged or not, and nothing else that happens to have the name.
void require_results_file(const std::string& path) {
  if (looks_like_results(path)) return;
  throw UsageError(
      fmt::format("--overwrite replaces results files only, and '{}' is none; remove "
                  "the file or name another",
                  path));
}

std::unique_ptr<ResultsStore> open_store(const CompareOptions& options, const StudyPlan& plan) {
  const bool exists = std::filesystem::exists(options.output);
  if (exists && std::filesystem::equivalent(options.output, options.case_file)) {
    throw UsageError(
        fmt::format("-o '{}' is the case file itself; name another file", options.output));
  }
  const auto folder = std::filesystem::absolute(options.output).parent_path();
  if (!exists && !std::filesystem::is_directory(folder)) {
    throw UsageError(fmt::format("-o '{}': there is no folder '{}' (No such file or directory)",
                                 options.output, folder.string()));
  }
  if (options.resume && exists) return ResultsStore::resume(options.output, plan);
  if (exists && !options.overwrite) {
    throw UsageError(
        fmt::format("'{}' exists. --resume adds what is missing, --overwrite replaces "
                    "it, -o NAME writes elsewhere",
                    options.output));
  }
  if (std::filesystem::is_regular_file(options.output)) require_results_file(options.output);
  return ResultsStore::create(options.output, plan, options.overwrite);
}

StudyOptions study_options(const CompareOptions& options) {
  StudyOptions chosen;
  chosen.headers = options.headers;
  chosen.speeds = speeds_option("--speeds", options.speeds);
  if (options.cell_size) chosen.cell_size = cells_option(*options.cell_size);
  chosen.law = options.law;
  chosen.quick = options.quick;
  chosen.interference = options.interference;
  return chosen;
}

// Stores one run, unless the file has it from an earlier run, which gave the same numbers.
void store_outcome(const PointOutcome& outcome, ResultsStore& store, bool quiet) {
  const std::size_t header = outcome.header_index;
  const std::size_t speed = outcome.speed_index;
  if (store.status(header, speed) != PointStatus::missing) return;
  if (outcome.result != nullptr) {
    store.write(header, speed, *outcome.result, outcome.seconds);
    return;
  }
  store.write_failure(header, speed, outcome.failure, outcome.seconds);
  if (quiet) return;
  print_message(fmt::format("\npulsewright: {} at {:.0f} rpm failed: {}\n",
                            run_group_name(store.plan().headers[header]),
                            60 * store.plan().speeds[speed], outcome.failure));
}

// Computes the points that the file lacks, alone or with the other processes.
QueueReport compute_missing(const CompareOptions& options, const Study& study, ResultsStore& store,
                            ProcessGroup* process_group) {
  const auto missing = [&](std::size_t header, std::size_t speed) {
    for (std::size_t v = 0; v < study.variants().size(); ++v) {
      if (store.status(study.plan_index(header, v), speed) == PointStatus::missing) return true;
    }
    return false;
  };
  const auto work_of = [&](std::size_t speed) { return 1.0 / study.plan().speeds[speed]; };
  std::size_t points = 0;
  double work = 0;
  for (std::size_t h = 0; h < study.headers(); ++h) {
    for (std::size_t s = 0; s < study.speeds(); ++s) {
      if (!missing(h, s)) continue;
      ++points;
      work += work_of(s);
    }
  }
  Progress progress(points, work, options.common.quiet);
  const OutcomeSink consume = [&](const PointOutcome& outcome) {
    store_outcome(outcome, store, options.common.quiet);
  };
  const PointDone point_done = [&](std::size_t, std::size_t speed) {
    progress.part_done(work_of(speed));
  };
  if (process_group == nullptr) {
    return run_study(study, options.jobs.value_or(all_cores()), interrupted(), missing, consume,
                     point_done);
  }
  return process_group->coordinate(study, options.jobs.value_or(1), interrupted(), missing, consume,
                                   point_done);
}

// The page, and table or JSON. Returns the exit code. What is stored comes before what is printed,
// which may fail.
int print_results(const CompareOptions& options) {
  using Detail = ResultsReader::Detail;
  const StudyResults results(ResultsReader(options.output),
                             options.report ? Detail::all : Detail::figures);
  const Comparison comparison = compare_headers(results);
  if (options.report) write_report(results, *options.report, options.common.units);
  if (!options.common.quiet) {
    print_message(fmt::format("Results are in {}\n", options.output));
    if (options.report) print_message(fmt::format("The report is in {}\n", *options.report));
  }
  fmt::print("{}\n", options.common.json ? json_text(comparison_json(comparison))
                                         : comparison_text(comparison, options.common.units));
  const bool sound =
      std::all_of(comparison.headers.begin(), comparison.headers.end(), [](const HeaderFigures& f) {
        return f.failed == 0 && f.unconverged == 0 && f.clipped == 0 && f.damaged == 0;
      });
  return sound ? exit_done : exit_run_failed;
}

void compare(const CompareOptions& options, int& exit_code, ProcessGroup* process_group) {
  require_places(options);
  const cases::CaseFile case_file = cases::read_case_file(options.case_file);
  if (!case_file.has_engine()) {
    throw UsageError(fmt::format(
        "{}: the case has pipes only, no engine to compare headers on; `pulsewright run` simulates "
        "it",
        options.case_file));
  }
  const StudyOptions chosen = study_options(options);
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
  if (options.report) require_report_place(*options.report);
  const auto store = open_store(options, study.plan());
  if (!options.common.quiet) {
    for (const auto& remark : store->remarks()) {
      print_message(fmt::format("pulsewright: {}: {}\n", options.output, remark));
    }
  }
  if (compute_missing(options, study, *store, process_group).stopped) {
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
  add_list_option(*verb, "--headers", options->headers, "NAME,...",
                  "Only these headers, the first is the reference");
  add_list_option(
      *verb, "--speeds", options->speeds, "RPM,...",
      "Only these speeds, also ranges, e.g. 3000-5000:250 (default: those of the case)");
  verb->add_option("--cells", options->cell_size,
                   "Cell size, e.g. \"5 mm\" (default: that of the case)")
      ->type_name("LENGTH");
  add_law_option(*verb, options->law);
  verb->add_flag("--quick", options->quick,
                 "Margin from grid and cycles only, not from merge model and build tolerance");
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
