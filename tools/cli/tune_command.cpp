#include "tools/cli/tune_command.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <iterator>
#include <memory>
#include <optional>

#include "cases/case_reader.hpp"
#include "cases/varied_text.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/search_command.hpp"
#include "tools/cli/study_runs.hpp"
#include "tools/search/tune_text.hpp"
#include "tools/study/comparison_json.hpp"
#include "tools/study/comparison_text.hpp"

namespace pulsewright::tools {

namespace {

struct TuneOptions {
  SearchCommand search;
  std::optional<int> designs;
  std::vector<std::string> front;
  bool no_verdict = false;
};

std::vector<std::size_t> front_option(const std::vector<std::string>& names,
                                      const cases::AimWeights& weights) {
  std::vector<std::size_t> aims;
  for (const std::string& name : names) {
    const auto* const at = std::find(std::begin(aim_names), std::end(aim_names), name);
    if (at == std::end(aim_names)) {
      throw UsageError(
          fmt::format("--front '{}': is no aim; allowed are {}", name, fmt::join(aim_names, ", ")));
    }
    aims.push_back(static_cast<std::size_t>(at - std::begin(aim_names)));
    if (name == "shift" && !(weights.shift_speed > 0)) {
      throw UsageError("--front 'shift': needs tune.shift_speed in the case file");
    }
  }
  std::sort(aims.begin(), aims.end());
  aims.erase(std::unique(aims.begin(), aims.end()), aims.end());
  if (aims.size() == 1) throw UsageError("--front: name two aims at least, or leave it out");
  return aims;
}

// "tune.h5" -> "tune<ending>".
std::string beside(const std::string& output, const std::string& ending) {
  return (std::filesystem::path(output).parent_path() / std::filesystem::path(output).stem())
             .string() +
         ending;
}

// A name of a header or a file that is not taken: the wanted one, or with a number behind it.
template <class Taken>
std::string free_name(const std::string& wanted, const std::string& ending, const Taken& taken) {
  std::string name = wanted + ending;
  for (int i = 2; taken(name); ++i) name = fmt::format("{}-{}{}", wanted, i, ending);
  return name;
}

// The case with the headers that were found.
struct FoundCase {
  std::string text;
  std::vector<std::string> headers;  // the start, the best, the easier one
};

FoundCase found_case(const SearchTask& task, const TuneResult& result) {
  const SearchSpace& space = task.space();
  FoundCase found{task.case_file().text, {space.reference.name}};
  const auto add = [&](const Candidate& candidate, const std::string& what) {
    const auto taken = [&](const std::string& name) {
      const auto& headers = task.case_file().headers;
      return std::any_of(headers.begin(), headers.end(),
                         [&](const auto& header) { return header.name == name; }) ||
             std::find(found.headers.begin(), found.headers.end(), name) != found.headers.end();
    };
    const std::string name = free_name(space.reference.name.substr(0, 30) + " " + what, "", taken);
    const cases::VariedHeader header{space.reference.name, name,
                                     fmt::format("found by tune, seed {}", task.plan().seed),
                                     space.drawn(candidate.values)};
    found.text = cases::varied_case_text(found.text, header, space.variables);
    found.headers.push_back(name);
  };
  add(*result.best, "tuned");
  if (result.easier) add(*result.easier, "easy");
  return found;
}

// Where the verdict is computed.
ResultsPlace verdict_place(const SearchCommand& search) {
  return {beside(search.output, "-verdict.h5"), search.case_file, search.resume, search.overwrite};
}

// What a comparison of the headers that were found with the start says.
struct FoundVerdict {
  std::string text;
  nlohmann::json json;
  bool sound = true;
};

// Compares as `compare` does; the coordinating process alone gets the verdict. None where it was
// stopped.
std::optional<FoundVerdict> verdict_of_found(const TuneOptions& options,
                                             const cases::CaseFile& found, const FoundCase& headers,
                                             ProcessGroup* process_group) {
  StudyOptions chosen;
  chosen.headers = headers.headers;
  if (options.search.band) chosen.band = band_option("--band", *options.search.band);
  chosen.speeds = speeds_option("--speeds", options.search.speeds);
  if (chosen.speeds.empty()) chosen.speeds = found.run.speeds;
  const Study study(found, chosen);
  watch_interrupts();
  if (!coordinates(process_group)) {
    process_group->work(study, interrupted());
    return FoundVerdict{};
  }
  const ResultsPlace place = verdict_place(options.search);
  auto store = open_results(place, study.plan());
  const RunsOptions runs{.jobs = options.search.jobs, .quiet = options.search.common.quiet};
  if (!compute_runs(runs, found, chosen, store, process_group)) return std::nullopt;
  end_at_interrupts();
  const StudyResults results(ResultsReader(place.path), ResultsReader::Detail::figures);
  const Comparison comparison = compare_headers(results);
  return FoundVerdict{comparison_text(comparison, options.search.common.units),
                      comparison_json(comparison), is_sound(comparison)};
}

void tune_header(const TuneOptions& options, int& exit_code, ProcessGroup* process_group) {
  const cases::CaseFile case_file = case_for_search(options.search, process_group);
  if (case_file.tune.variables.empty()) {
    throw UsageError(
        fmt::format("{}: names nothing that may change; write [[tune.vary]] with part, from and to "
                    "(see pulsewright check --manual)",
                    options.search.case_file));
  }
  TuneAims aims;
  aims.weights = case_file.tune.weights;
  aims.front = front_option(options.front, aims.weights);
  aims.designs = static_cast<std::size_t>(options.designs.value_or(case_file.tune.designs));
  SearchOptions chosen = search_options(options.search, "tune");
  chosen.variables = case_file.tune.variables;
  chosen.holds_fits = true;
  chosen.settings = fmt::format("designs {}, front {}", aims.designs, fmt::join(aims.front, " "));
  const SearchTask task(case_file, std::move(chosen));
  bool stopped = false;
  const auto find = [&](TrialHistory& history) {
    const TuneResult result = tune(task, aims, history);
    SearchFindings findings;
    findings.json = tune_json(task, aims, result);
    findings.text = tune_text(task, aims, result, options.search.common.units);
    findings.csv = tune_csv(task, result, options.search.common.units);
    findings.sound = result.best.has_value();
    if (!result.best) return findings;
    const bool stores = coordinates(process_group);
    if (stores) history.finish(findings.json.dump());  // what follows takes its time
    const FoundCase headers = found_case(task, result);
    const std::string path =
        free_name(beside(options.search.output, "-found"), ".toml",
                  [](const std::string& name) { return std::filesystem::exists(name); });
    const cases::CaseFile found =
        cases::read_case_text(headers.text, path, options.search.common.message_units());
    if (stores) write_new(path, headers.text);
    findings.json["found_case"] = path;
    findings.text +=
        fmt::format("\nThe case with {} is in {}\n", fmt::join(headers.headers, ", "), path);
    if (options.no_verdict) return findings;
    const auto verdict = verdict_of_found(options, found, headers, process_group);
    stopped = !verdict;
    if (!verdict) return findings;
    findings.json["verdict"] = verdict->json;
    findings.text += "\n" + verdict->text;
    findings.sound = findings.sound && verdict->sound;
    return findings;
  };
  exit_code = run_search(options.search, task, process_group, find, [&] {
    if (!options.no_verdict) require_results_place(verdict_place(options.search));
  });
  if (!stopped) return;
  print_message("pulsewright: stopped before the verdict; the search itself is done\n");
  exit_code = exit_run_failed;
}

}  // namespace

void add_tune_command(CLI::App& app, int& exit_code, ProcessGroup* process_group) {
  auto options = std::make_shared<TuneOptions>();
  CLI::App* verb = app.add_subcommand(
      "tune", "Find the best header within what fits the car; case file and verdict");
  add_search_options(*verb, options->search, "tune.h5");
  verb->add_option("--designs", options->designs,
                   "Most designs to compute (default: tune.designs of the case)")
      ->type_name("N")
      ->check(CLI::Range(10, 100000));
  add_list_option(*verb, "--front", options->front, "AIM,...",
                  "Several aims of mean, dip, top and shift: designs to choose from, of which none "
                  "is beaten in every aim");
  verb->add_flag(
      "--no-verdict", options->no_verdict,
      "Without the comparison of what was found with the start, on the grid of the case");
  verb->footer("Example: pulsewright tune cases/tuned-single.toml -o tune.h5 --csv designs.csv");
  verb->callback(
      [options, &exit_code, process_group] { tune_header(*options, exit_code, process_group); });
}

}  // namespace pulsewright::tools
