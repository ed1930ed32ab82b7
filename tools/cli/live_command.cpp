#include "tools/cli/live_command.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "cases/case_text.hpp"
#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/report/live_page.hpp"

namespace pulsewright::tools {

namespace {

struct LiveOptions {
  CommonOptions common;
  std::string case_file;  // "" = none
  std::string output = "live.html";
};

// A case that is not right yet is taken as it is: the form of the page says what is wrong with it.
std::string case_text_of(const LiveOptions& options) {
  if (options.case_file.empty()) return "";
  std::string text = cases::read_text_file(options.case_file);
  cases::check_text(text, options.case_file);
  return text;
}

void write_live(const LiveOptions& options) {
  if (options.output.empty()) throw UsageError("-o '': name a file for the page");
  require_live_page_place(options.output);
  const std::string text = case_text_of(options);
  require_writable("-o", options.output, Writing::beside);
  const std::string name =
      options.case_file.empty() ? "" : std::filesystem::path(options.case_file).filename().string();
  const std::size_t bytes = write_live_page(options.output, name, text, options.common.units);
  if (options.common.json) {
    fmt::print("{}\n", json_text({{"page", options.output}, {"bytes", bytes}}));
  } else if (!options.common.quiet) {
    fmt::print("{}: {:.1f} MB, opens in any browser; it computes there and needs no network\n",
               cases::visible(options.output), 1e-6 * static_cast<double>(bytes));
  }
}

}  // namespace

void add_live_command(CLI::App& app) {
  auto options = std::make_shared<LiveOptions>();
  CLI::App* verb = app.add_subcommand(
      "live", "Make one HTML page in which a case is changed and computed, without this program");
  CLI::Option* given = verb->add_option("case", options->case_file,
                                        "Case file that the page opens with (default: what the "
                                        "browser kept, or an invented engine)");
  given->type_name("FILE");
  verb->add_option("--case", options->case_file, "The same")->type_name("FILE")->excludes(given);
  verb->add_option("-o,--output", options->output, "Page to write")
      ->capture_default_str()
      ->type_name("FILE");
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright live cases/inline-four.toml -o live.html");
  verb->callback([options] { write_live(*options); });
}

}  // namespace pulsewright::tools
