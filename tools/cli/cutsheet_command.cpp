#include "tools/cli/cutsheet_command.hpp"

#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/case_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cutting/cut_sheet.hpp"
#include "tools/cutting/cut_sheet_text.hpp"
#include "tools/cutting/measured_points.hpp"

namespace pulsewright::tools {

namespace {

struct CutsheetOptions {
  CommonOptions common;
  std::string case_file;
  std::optional<std::string> header, points, csv;
};

void cutsheet(const CutsheetOptions& options) {
  const cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  mention_remarks(case_file, options.common.quiet);
  if (!case_file.has_engine()) {
    throw UsageError(fmt::format("cutsheet: {} has pipes only, no engine", options.case_file));
  }
  const cases::HeaderDesign& header =
      options.header ? cases::find_header(case_file, *options.header) : case_file.headers.front();
  MeasuredPaths measured;
  if (options.points) {
    measured = measured_points(cases::read_text_file(*options.points), *options.points);
  }
  const CutSheet sheet = cut_sheet(case_file, header, measured, options.common.message_units());
  if (options.csv) {
    require_writable("--csv", *options.csv, Writing::in_place);
    write_text("--csv", *options.csv, cut_sheet_csv(sheet, options.common.units));
  }
  fmt::print("{}", options.common.json ? json_text(cut_sheet_json(sheet)) + "\n"
                                       : cut_sheet_text(sheet, options.common.units));
}

}  // namespace

void add_cutsheet_command(CLI::App& app) {
  auto options = std::make_shared<CutsheetOptions>();
  CLI::App* verb =
      app.add_subcommand("cutsheet", "Print what to cut, bend and order for one header");
  verb->add_option("case", options->case_file, "Case file (TOML)")->required()->type_name("FILE");
  verb->add_option("--header", options->header, "Name of the header (default: the first)")
      ->type_name("NAME");
  verb->add_option("--points", options->points,
                   "Points of the tubes as measured along a bent wire (CSV: cylinder,x,y,z)")
      ->type_name("FILE");
  verb->add_option("--csv", options->csv, "Also write the pieces as a table (CSV)")
      ->type_name("FILE");
  add_common_options(*verb, options->common);
  verb->footer(
      "Example: pulsewright cutsheet cases/hillclimb-v8.toml --header stepped-length --units inch");
  verb->callback([options] { cutsheet(*options); });
}

}  // namespace pulsewright::tools
