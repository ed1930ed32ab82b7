#include "tools/cli/report_command.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/measured_sheet.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/report/report_page.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/search/search_file.hpp"

namespace pulsewright::tools {

namespace {

struct ReportOptions {
  CommonOptions common;
  std::string results;
  std::string output = "report.html";
  std::optional<std::string> folder;
};

// What the page leaves out, and what could not be tested.
void report_damage(const ReportOptions& options, const StudyResults& results) {
  for (const auto& damage : results.damages()) {
    print_message(
        fmt::format("pulsewright: {}: {}; the point is left out\n", options.results, damage));
  }
  if (!results.damages().empty()) {
    print_message(
        fmt::format("pulsewright: to compute what is damaged anew: pulsewright compare {} -o {} "
                    "--resume, with the options of the first time\n",
                    results.plan().case_file, options.results));
  }
  if (!results.structure_tested() && !options.common.quiet) {
    print_message(fmt::format(
        "pulsewright: {}: another tool rewrote this file: numbers of points are tested, "
        "a change of texts and coordinates would not be seen\n",
        options.results));
  }
}

void print_report(const ReportOptions& options, std::size_t bytes,
                  const std::vector<std::string>& damages) {
  if (options.common.json) {
    fmt::print("{}\n",
               json_text({{"report", options.output}, {"bytes", bytes}, {"damages", damages}}));
  } else if (!options.common.quiet) {
    fmt::print("{}: {:.1f} MB, opens in any browser\n", cases::visible(options.output),
               1e-6 * static_cast<double>(bytes));
  }
}

void report_search(const ReportOptions& options) {
  require_writable("-o", options.output, Writing::beside);
  const std::size_t bytes =
      write_search_report(read_search(options.results), options.output, options.common.units);
  print_report(options, bytes, {});
}

void report(const ReportOptions& options, int& exit_code) {
  if (options.output.empty()) throw UsageError("-o '': name a file for the report");
  std::error_code error;
  require_report_place(options.output);
  if (!std::filesystem::exists(options.results, error)) {
    throw UsageError(fmt::format("there is no results file '{}'; `pulsewright compare` makes one",
                                 options.results));
  }
  if (!std::filesystem::is_directory(options.results, error) &&
      looks_like_search(options.results)) {
    report_search(options);
    return;
  }
  if (std::filesystem::is_directory(options.results, error) ||
      !looks_like_results(options.results)) {
    throw UsageError(fmt::format("'{}' is no results file (HDF5, made by `pulsewright compare`)",
                                 options.results));
  }
  require_writable("-o", options.output, Writing::beside);
  const StudyResults results(ResultsReader(options.results), ResultsReader::Detail::all);
  const auto dyno = measured_sheet(results, options.folder);
  const std::size_t bytes =
      write_report(results, options.output, options.common.units, dyno ? &*dyno : nullptr);
  report_damage(options, results);
  if (!results.damages().empty()) exit_code = exit_run_failed;
  print_report(options, bytes, results.damages());
}

}  // namespace

void add_report_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ReportOptions>();
  CLI::App* verb =
      app.add_subcommand("report", "Make one HTML page of a results file, for any browser");
  verb->add_option("results", options->results, "Results file (HDF5)")
      ->required()
      ->type_name("FILE");
  verb->add_option("-o,--output", options->output, "Page to write")
      ->capture_default_str()
      ->type_name("FILE");
  verb->add_option("--pulls", options->folder,
                   "Folder of the measured pulls that the case names (default: that of the case "
                   "file)")
      ->type_name("FOLDER");
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright report results.h5 -o report.html");
  verb->callback([options, &exit_code] { report(*options, exit_code); });
}

}  // namespace pulsewright::tools
