#include "tools/cli/run_command.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "models/engine/pipe_simulation.hpp"
#include "models/engine/point_simulation.hpp"
#include "models/engine/run_fault.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/study/point_text.hpp"

namespace pulsewright::tools {

namespace {

struct RunOptions {
  CommonOptions common;
  std::string case_file;
  std::optional<std::string> header_name, speed, cell_size;
  std::optional<models::JunctionLaw> law;
};

// The case was read and found right: what cannot be made of it is a fault of the run.
std::unique_ptr<models::PointSimulation> make_point(const models::EngineSpecification& engine,
                                                    double speed,
                                                    const models::RunSettings& settings) {
  try {
    return std::make_unique<models::PointSimulation>(engine, speed, settings);
  } catch (const std::invalid_argument& error) {
    throw models::RunFault(fmt::format("header \"{}\" at {:.0f} rpm cannot be simulated: {}",
                                       engine.name, 60 * speed, error.what()));
  }
}

void run(const RunOptions& options, int& exit_code) {
  const cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  mention_remarks(case_file, options.common.quiet);
  const cases::HeaderDesign& header = options.header_name
                                          ? cases::find_header(case_file, *options.header_name)
                                          : case_file.headers.front();
  cases::BuildOptions build;
  build.law = options.law;
  if (options.cell_size)
    build.cell_size = cells_option(*options.cell_size, options.common.message_units());
  const auto engine = cases::build_engine(case_file, header, build);
  const std::string title = fmt::format("{}: {}", case_file.title, header.name);
  const auto keep_going = [] { return !interrupted(); };

  watch_interrupts();
  if (!case_file.has_engine()) {
    if (options.speed) {
      throw UsageError(fmt::format("--speed: {} has pipes only, no engine", options.case_file));
    }
    const auto result =
        models::simulate_pipes(engine, case_file.run.duration, case_file.run.settings, keep_going);
    fmt::print("{}\n", options.common.json ? json_text(pipes_json(result))
                                           : pipes_text(title, result, options.common.units));
    return;
  }
  const auto& speeds = case_file.run.speeds;
  const double speed =
      options.speed ? speed_option("--speed", *options.speed) : speeds[speeds.size() / 2];
  const auto point_simulation = make_point(engine, speed, case_file.run.settings);
  const auto result = point_simulation->run(keep_going);
  fmt::print("{}\n", options.common.json ? json_text(point_json(result))
                                         : point_text(title, result, options.common.units));
  // As in `compare`: such a point is printed, and is no result.
  for (const auto& fault : point_faults(result, case_file.run.settings.most_cycles)) {
    if (!options.common.quiet) print_message(fmt::format("pulsewright: {}\n", fault));
    exit_code = exit_run_failed;
  }
}

}  // namespace

void add_run_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<RunOptions>();
  CLI::App* verb = app.add_subcommand("run", "Simulate one header at one speed, in full");
  verb->add_option("case", options->case_file, "Case file (TOML)")->required()->type_name("FILE");
  verb->add_option("--header", options->header_name, "Name of the header (default: the first)")
      ->type_name("NAME");
  verb->add_option("--speed", options->speed,
                   "Speed, e.g. 6000 (default: the middle speed of the case)")
      ->type_name("RPM");
  verb->add_option("--cells", options->cell_size,
                   "Cell size, e.g. \"5 mm\" (default: that of the case)")
      ->type_name("LENGTH");
  add_law_option(*verb, options->law);
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright run cases/hillclimb-v8.toml --header 180-degree --speed 6000");
  verb->callback([options, &exit_code] { run(*options, exit_code); });
}

}  // namespace pulsewright::tools
