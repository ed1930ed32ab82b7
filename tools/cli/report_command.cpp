#include "tools/cli/report_command.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "tools/cli/command.hpp"
#include "tools/report/report_page.hpp"

namespace pulsewright::tools {

namespace {

struct ReportOptions {
  CommonOptions common;
  std::string results;
  std::string output = "report.html";
};

void report(const ReportOptions& options) {
  require_report_place(options.output);
  std::error_code error;
  if (!std::filesystem::exists(options.results, error)) {
    throw UsageError(fmt::format("there is no results file '{}'; `pulsewright compare` makes one",
                                 options.results));
  }
  const StudyResults results(ResultsReader(options.results), ResultsReader::Detail::all);
  const std::size_t bytes = write_report(results, options.output, options.common.units);
  if (options.common.json) {
    fmt::print("{}\n", nlohmann::json{{"report", options.output}, {"bytes", bytes}}.dump(2));
  } else if (!options.common.quiet) {
    fmt::print("{}: {:.1f} MB, opens in any browser\n", options.output,
               1e-6 * static_cast<double>(bytes));
  }
}

}  // namespace

void add_report_command(CLI::App& app) {
  auto options = std::make_shared<ReportOptions>();
  CLI::App* verb =
      app.add_subcommand("report", "Make one HTML page of a results file, for any browser");
  verb->add_option("results", options->results, "Results file (HDF5)")
      ->required()
      ->type_name("FILE");
  verb->add_option("-o,--output", options->output, "Page to write")
      ->capture_default_str()
      ->type_name("FILE");
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright report results.h5 -o report.html");
  verb->callback([options] { report(*options); });
}

}  // namespace pulsewright::tools
