#include "tools/cli/size_command.hpp"

#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/size/assumed_case.hpp"
#include "tools/size/header_proposal.hpp"
#include "tools/size/header_trial.hpp"
#include "tools/size/size_text.hpp"

namespace pulsewright::tools {

namespace {

struct SizeOptions {
  CommonOptions common;
  std::string case_file;
  // Of the engine, in place of a case file.
  std::optional<std::string> displacement, bore, stroke, firing_order, left_bank, band, head_flow,
      exhaust_opens;
  std::optional<int> cylinders;
  std::optional<std::string> power, torque_peak, cell_size, output, csv;
  bool no_simulation = false;
};

// A positive quantity of an option. Throws UsageError that names it.
std::optional<double> quantity(const char* option, const std::optional<std::string>& text,
                               cases::Dimension dimension) {
  if (!text) return std::nullopt;
  try {
    const double value = cases::parse_quantity(*text, dimension);
    if (value > 0) return value;
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("{}: {}", option, error.what()));
  }
  throw UsageError(fmt::format("{} '{}': must be above zero", option, cases::shortened(*text)));
}

std::optional<double> opening(const std::optional<std::string>& text) {
  if (!text) return std::nullopt;
  try {
    const cases::ValveEvent event = cases::parse_valve_event(*text);
    if (event.from == cases::DeadCentre::before_bottom && event.angle_deg > 0 &&
        event.angle_deg < 150) {
      return event.angle_deg;
    }
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("--exhaust-opens: {}", error.what()));
  }
  throw UsageError(
      fmt::format("--exhaust-opens '{}': give 1 to 149 deg BBDC, for example 70 deg BBDC",
                  cases::shortened(*text)));
}

cases::CaseFile case_of_figures(const SizeOptions& options) {
  EngineFacts facts;
  facts.inches = options.common.units == UnitSystem::inch;
  facts.displacement = quantity("--displacement", options.displacement, cases::Dimension::volume);
  facts.bore = quantity("--bore", options.bore, cases::Dimension::length);
  facts.stroke = quantity("--stroke", options.stroke, cases::Dimension::length);
  facts.cylinders = options.cylinders;
  facts.firing_order = options.firing_order;
  facts.left_bank = options.left_bank;
  facts.head_flow = quantity("--head-flow", options.head_flow, cases::Dimension::volume_flow);
  facts.power = quantity("--power", options.power, cases::Dimension::power);
  facts.exhaust_opens_deg = opening(options.exhaust_opens);
  if (options.band) facts.band = band_option("--band", *options.band);
  if (!facts.displacement && !facts.bore) {
    throw UsageError(
        "size: names neither a case file nor an engine; for example: pulsewright size "
        "--displacement "
        "\"5.7 L\" --band 4500-7000");
  }
  try {
    return assumed_case(facts, options.output.value_or("assumed.toml"));
  } catch (const std::invalid_argument& error) {
    throw UsageError(fmt::format("size: {}", error.what()));
  }
}

cases::CaseFile case_of(const SizeOptions& options, const CLI::App& verb) {
  if (options.case_file.empty()) return case_of_figures(options);
  for (const char* name : {"--displacement", "--bore", "--stroke", "--cylinders", "--firing-order",
                           "--left-bank", "--band", "--head-flow", "--exhaust-opens"}) {
    if (verb.count(name) == 0) continue;
    throw UsageError(fmt::format("size: {} belongs to an engine without a case file; {} says it",
                                 name, cases::shortened(options.case_file)));
  }
  cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  mention_remarks(case_file, options.common.quiet);
  return case_file;
}

HeaderProposal proposal_of(const SizeOptions& options, const cases::CaseFile& case_file) {
  SizingWishes wishes;
  wishes.power = quantity("--power", options.power, cases::Dimension::power);
  if (options.torque_peak) wishes.torque_peak = speed_option("--torque-peak", *options.torque_peak);
  try {
    return propose_headers(case_file, wishes, options.common.units == UnitSystem::inch);
  } catch (const std::invalid_argument& error) {
    throw UsageError(fmt::format("size: {}", error.what()));
  }
}

std::vector<HeaderTrial> trials_of(const SizeOptions& options, const HeaderProposal& proposal) {
  if (options.no_simulation) return {};
  const double cells = options.cell_size
                           ? cells_option(*options.cell_size, options.common.message_units())
                           : trial_cell_size;
  const auto& run = proposal.case_file.run;
  const std::size_t parts =
      proposal.case_file.headers.size() * trial_speeds(run.band_from, run.band_to).size();
  watch_interrupts();
  Progress progress(parts, static_cast<double>(parts), options.common.quiet);
  return try_headers(proposal.case_file, cells, all_cores(), interrupted(),
                     [&] { progress.part_done(1); });
}

void size(const SizeOptions& options, const CLI::App& verb) {
  if (options.output) {
    refuse_existing("size", *options.output);
    require_writable("-o", *options.output, Writing::beside);
  }
  if (options.csv) require_writable("--csv", *options.csv, Writing::in_place);
  const HeaderProposal proposal = proposal_of(options, case_of(options, verb));
  const auto trials = trials_of(options, proposal);
  if (options.output) write_new(*options.output, proposal.case_file.text);
  if (options.csv) write_text("--csv", *options.csv, size_csv(proposal, options.common.units));
  if (options.common.json) {
    fmt::print("{}\n", json_text(size_json(proposal, trials)));
    return;
  }
  fmt::print("{}", size_text(proposal, trials, options.common.units));
  if (options.output && !options.common.quiet) {
    print_message(fmt::format("The headers are in {0}; next: pulsewright check {0}\n",
                              cases::shortened(*options.output)));
  }
}

}  // namespace

void add_size_command(CLI::App& app) {
  auto options = std::make_shared<SizeOptions>();
  CLI::App* verb = app.add_subcommand(
      "size", "Propose headers by the hand rules, from a case file or a few figures of an engine");
  verb->add_option("case", options->case_file, "Case file (TOML); none: the figures below")
      ->type_name("FILE");
  verb->add_option("--displacement", options->displacement, "Of all cylinders, e.g. \"5.7 L\"")
      ->type_name("VOLUME");
  verb->add_option("--bore", options->bore, "Bore, e.g. \"4.030 in\"")->type_name("LENGTH");
  verb->add_option("--stroke", options->stroke, "Stroke, e.g. \"3.48 in\"")->type_name("LENGTH");
  verb->add_option("--cylinders", options->cylinders,
                   "Number of cylinders (default 8), with a usual firing order")
      ->type_name("N");
  verb->add_option("--firing-order", options->firing_order, "For example 1-3-4-2")
      ->type_name("ORDER");
  verb->add_option("--left-bank", options->left_bank, "Its cylinders, e.g. \"1 3 5 7\", or none")
      ->type_name("LIST");
  verb->add_option("--band", options->band, "Speeds in which it is to pull, e.g. 4500-7000")
      ->type_name("RPM-RPM");
  verb->add_option("--head-flow", options->head_flow,
                   "Of one intake port at 28 inH2O, e.g. \"290 cfm\"")
      ->type_name("FLOW");
  verb->add_option("--exhaust-opens", options->exhaust_opens,
                   "As advertised, e.g. \"70 deg BBDC\" (default: by an assumed cam)")
      ->type_name("ANGLE");
  verb->add_option("--power", options->power,
                   "Expected, e.g. \"600 hp\" (default: by the flow of the heads)")
      ->type_name("POWER");
  verb->add_option("--torque-peak", options->torque_peak,
                   "Wanted speed of it (default: the middle of the band)")
      ->type_name("RPM");
  verb->add_flag("--no-simulation", options->no_simulation, "Leave out the simulation");
  verb->add_option("--cells", options->cell_size, "Cell size of the simulation (default 30 mm)")
      ->type_name("LENGTH");
  verb->add_option("-o,--output", options->output,
                   "Write a case file with the proposed headers; never overwrites one")
      ->type_name("FILE");
  verb->add_option("--csv", options->csv, "Also write the table of stock tubes (CSV)")
      ->type_name("FILE");
  add_common_options(*verb, options->common);
  verb->footer(
      "Example: pulsewright size --displacement \"5.7 L\" --band 4500-7000 -o my-engine.toml");
  verb->callback([options, verb] { size(*options, *verb); });
}

}  // namespace pulsewright::tools
