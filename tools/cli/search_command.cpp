#include "tools/cli/search_command.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <stdexcept>

#include "cases/case_reader.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/report/report_page.hpp"
#include "tools/results/results_store.hpp"
#include "tools/search/search_file.hpp"
#include "tools/search/shared_trials.hpp"

namespace pulsewright::tools {

namespace {

// Progress of one list of designs after the other.
class ListProgress {
 public:
  explicit ListProgress(bool quiet) : quiet_(quiet) {}

  void operator()(std::size_t done, std::size_t all) {
    if (done == 1) shown_ = std::make_unique<Progress>(all, static_cast<double>(all), quiet_);
    if (shown_) shown_->part_done(1);
    if (done == all) shown_.reset();
  }
  void end() { shown_.reset(); }

 private:
  bool quiet_;
  std::unique_ptr<Progress> shown_;
};

// The designs of an earlier run, or none.
SearchRecord start_record(const SearchCommand& command, const SearchPlan& plan) {
  SearchRecord record;
  const bool exists = std::filesystem::exists(command.output);
  require_writable("-o", command.output, Writing::beside);
  if (exists && !command.resume && !command.overwrite) {
    throw UsageError(fmt::format(
        "'{}' exists. --resume goes on with it, --overwrite replaces it, -o NAME writes "
        "elsewhere",
        command.output));
  }
  if (exists && !looks_like_search(command.output)) {
    throw UsageError(fmt::format("'{}' is no file of a search and is left as it is; name another",
                                 command.output));
  }
  if (exists && command.resume) {
    record = read_search(command.output);
    const std::string difference = first_difference(record.plan, plan);
    if (!difference.empty()) {
      throw UsageError(fmt::format(
          "'{}' was made with another {}; --resume needs the same options, --overwrite makes it "
          "anew",
          command.output, difference));
    }
    record.findings.clear();
  } else {
    record.date = current_date();
  }
  record.plan = plan;
  return record;
}

// Refuses places that cannot be written.
void require_places(const SearchCommand& command) {
  if (command.output.empty()) throw UsageError("-o '': name a file for the search");
  if (command.csv) require_writable("--csv", *command.csv, Writing::in_place);
  if (!command.report) return;
  require_report_place(*command.report);
  require_writable("--report", *command.report, Writing::beside);
}

// The same in every process. The coordinator looks for the file, and tells the others also where it
// cannot go on.
SearchRecord shared_start(const SearchCommand& command, const SearchPlan& plan,
                          ProcessGroup* process_group, const std::function<void()>& check_places) {
  if (!coordinates(process_group)) {
    const std::string bytes = process_group->exchange("").front();
    if (bytes.empty()) throw std::invalid_argument("the coordinator refuses its input");
    SearchRecord record = search_from_bytes(bytes);
    record.plan = plan;
    return record;
  }
  SearchRecord record;
  std::string bytes;
  try {
    require_places(command);
    if (check_places) check_places();
    record = start_record(command, plan);
    if (process_group) bytes = search_bytes(record);
  } catch (...) {
    if (process_group) process_group->exchange("");
    throw;
  }
  if (process_group) process_group->exchange(bytes);
  return record;
}

}  // namespace

void add_search_options(CLI::App& verb, SearchCommand& command, const std::string& output) {
  command.output = output;
  verb.add_option("case", command.case_file, "Case file (TOML)")->required()->type_name("FILE");
  verb.add_option("-o,--output", command.output, "File of the search (HDF5)")
      ->capture_default_str()
      ->type_name("FILE");
  verb.add_option("--csv", command.csv, "Also write its table (CSV)")->type_name("FILE");
  verb.add_option("--report", command.report, "Also write its page (HTML)")->type_name("FILE");
  verb.add_option("--header", command.header,
                  "Header to begin with (default: that of [tune], or the first)")
      ->type_name("NAME");
  add_list_option(verb, "--speeds", command.speeds, "RPM,...",
                  "Only these speeds, also ranges, e.g. 3000-5000:250 (default: those of the case "
                  "in the band)");
  verb.add_option("--band", command.band,
                  "Judge over this band, e.g. 4500-7000 (default: that of the case)")
      ->type_name("RPM-RPM");
  verb.add_option("--cells", command.cell_size,
                  "Cell size, e.g. \"20 mm\" (default: three times that of the case)")
      ->type_name("LENGTH");
  verb.add_option("--seed", command.seed, "Where random numbers begin (default: that of [tune])")
      ->type_name("N")
      ->check(CLI::Range(0, 1000000));
  verb.add_option("--jobs,-j", command.jobs,
                  "Threads that compute (default: all cores; under mpirun 1 in each process)")
      ->check(CLI::Range(1, 1024));
  auto* resume = verb.add_flag("--resume", command.resume, "Go on with the file of an earlier run");
  verb.add_flag("--overwrite", command.overwrite, "Replace the file of an earlier run")
      ->excludes(resume);
  add_common_options(verb, command.common);
}

bool coordinates(const ProcessGroup* process_group) {
  return !process_group || process_group->is_coordinator();
}

cases::CaseFile case_for_search(const SearchCommand& command, const ProcessGroup* process_group) {
  cases::CaseFile case_file =
      cases::read_case_file(command.case_file, command.common.message_units());
  if (!case_file.has_engine()) {
    throw UsageError(
        fmt::format("{}: the case has pipes only, no engine to search a header for; `pulsewright "
                    "run` simulates it",
                    command.case_file));
  }
  mention_remarks(case_file, command.common.quiet || !coordinates(process_group));
  return case_file;
}

SearchOptions search_options(const SearchCommand& command, const std::string& verb) {
  SearchOptions options;
  options.verb = verb;
  options.header = command.header;
  options.speeds = speeds_option("--speeds", command.speeds);
  if (command.band) options.band = band_option("--band", *command.band);
  if (command.cell_size) {
    options.cell_size = cells_option(*command.cell_size, command.common.message_units());
  }
  options.seed = command.seed;
  return options;
}

int run_search(const SearchCommand& command, const SearchTask& task, ProcessGroup* process_group,
               const std::function<SearchFindings(TrialHistory&)>& find,
               const std::function<void()>& check_places) {
  const bool prints = coordinates(process_group);
  const SearchRecord start = shared_start(command, task.plan(), process_group, check_places);
  DesignEvaluator evaluator =
      task.evaluator(command.jobs.value_or(process_group ? 1 : all_cores()));
  LocalTrials local(task.space(), evaluator);
  std::optional<SharedTrials> shared;
  if (process_group) {
    shared.emplace(
        local, task.speeds(),
        ProcessShare{process_group->rank(), process_group->size(),
                     [&](const std::string& own) { return process_group->exchange(own); }});
  }
  TrialSource& source = shared ? static_cast<TrialSource&>(*shared) : local;
  ListProgress progress(command.common.quiet || !prints);
  watch_interrupts();
  TrialHistory history(start, source, prints ? command.output : "", interrupted(),
                       [&](std::size_t done, std::size_t all) { progress(done, all); });
  SearchFindings findings;
  try {
    findings = find(history);
  } catch (const SearchStopped&) {
    progress.end();
    if (!prints) return exit_run_failed;
    print_message(
        fmt::format("pulsewright: stopped; finished designs are in '{}'. To go on, run the same "
                    "command with --resume\n",
                    command.output));
    return exit_run_failed;
  }
  end_at_interrupts();
  if (!prints) return exit_done;
  history.finish(findings.json.dump());
  if (command.report) {
    write_search_report(history.record(), *command.report, command.common.units);
  }
  if (command.csv) write_text("--csv", *command.csv, findings.csv);
  if (!command.common.quiet) {
    print_message(fmt::format("Designs are in {}\n", command.output));
    if (command.report) print_message(fmt::format("The report is in {}\n", *command.report));
    if (command.csv) print_message(fmt::format("The table is in {}\n", *command.csv));
  }
  fmt::print("{}\n", command.common.json ? json_text(findings.json) : findings.text);
  return findings.sound ? exit_done : exit_run_failed;
}

}  // namespace pulsewright::tools
