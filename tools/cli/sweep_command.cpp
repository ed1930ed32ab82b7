#include "tools/cli/sweep_command.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <memory>

#include "tools/cli/search_command.hpp"
#include "tools/search/sweep_text.hpp"

namespace pulsewright::tools {

namespace {

struct SweepOptions {
  SearchCommand search;
  std::vector<std::string> vary;
};

void sweep(const SweepOptions& options, int& exit_code, ProcessGroup* process_group) {
  const cases::CaseFile case_file = case_for_search(options.search, process_group);
  const cases::HeaderDesign& header = searched_header(case_file, options.search.header);
  std::vector<SweepAxis> axes;
  for (const std::string& text : options.vary) axes.push_back(axis_of(text, case_file, header));
  if (axes.empty()) axes = axes_of_tune(case_file, header);
  if (axes.empty() || axes.size() > 2) {
    throw UsageError(
        axes.empty() ? "names nothing to vary: give --vary, for example --vary \"primary_length=28 "
                       "in to 36 in by 1 in\", or [[tune.vary]] in the case file"
                     : "--vary is given more than twice; a map has two dimensions at most");
  }
  SearchOptions chosen = search_options(options.search, "sweep");
  chosen.variables = variables_of(axes);
  chosen.other_edges = band_edges(axes);
  for (const SweepAxis& axis : axes) {
    chosen.settings += fmt::format("{}:", static_cast<int>(axis.kind));
    for (const double value : axis.values) chosen.settings += fmt::format(" {}", value);
    chosen.settings += ";";
  }
  const SearchTask task(case_file, std::move(chosen));
  exit_code = run_search(options.search, task, process_group, [&](TrialHistory& history) {
    const SweepMap map = sweep_map(task, axes, history);
    SearchFindings findings;
    findings.json = sweep_json(task, map);
    findings.text = sweep_text(task, map, options.search.common.units);
    findings.csv = sweep_csv(task, map, options.search.common.units);
    findings.sound = std::all_of(map.cells.begin(), map.cells.end(),
                                 [](const SweepCell& cell) { return cell.counts; });
    return findings;
  });
}

}  // namespace

void add_sweep_command(CLI::App& app, int& exit_code, ProcessGroup* process_group) {
  auto options = std::make_shared<SweepOptions>();
  CLI::App* verb = app.add_subcommand(
      "sweep", "Map torque and power over one or two lengths, sizes or edges of the band");
  add_search_options(*verb, options->search, "sweep.h5");
  verb->add_option("--vary", options->vary,
                   "What varies, once or twice: PART=FROM to TO by STEP (default: the first two of "
                   "[tune]). Parts as in [[tune.vary]], with [1+3] behind it for single cylinders; "
                   "also band_from and band_to")
      ->type_name("TEXT");
  verb->footer(
      "Example: pulsewright sweep cases/hillclimb-v8.toml --vary \"primary_length=28 in to 36 in "
      "by 1 in\" --vary \"collector_length=10 in to 20 in by 2 in\" --csv map.csv");
  verb->callback(
      [options, &exit_code, process_group] { sweep(*options, exit_code, process_group); });
}

}  // namespace pulsewright::tools
