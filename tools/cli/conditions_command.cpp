#include "tools/cli/conditions_command.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>

#include "cases/parameters.hpp"
#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/dyno/what_if_text.hpp"

namespace pulsewright::tools {

namespace {

struct ConditionsOptions {
  CommonOptions common;
  std::string case_file;
  std::optional<std::string> header, cell_size, csv;
  std::vector<std::string> altitudes, temperatures, humidities, fuels, speeds;
  std::optional<unsigned> jobs;
  bool together = false;
};

// Every text of an option within what the key allows.
void require_allowed(const std::string& option, const std::vector<std::string>& texts,
                     std::string_view section, std::string_view name) {
  const cases::Parameter& key = *cases::find_parameter(section, name);
  for (const std::string& text : texts) {
    std::string why;
    try {
      if (key.kind == cases::ValueKind::choice) {
        if (cases::choice_index(key, text)) continue;
      } else {
        const double value = cases::value_of(text, key);
        const cases::Range range = cases::allowed_range(section, name);
        if (value >= range.least && value <= range.greatest) continue;
      }
    } catch (const cases::QuantityError& error) {
      why = fmt::format("{}; ", error.what());
    } catch (const std::logic_error&) {  // no plain number
    }
    throw UsageError(fmt::format("{} = '{}': {}allowed is {}", option, cases::shortened(text), why,
                                 cases::allowed_text(key)));
  }
}

std::vector<Change> changes_of(const ConditionsOptions& options) {
  require_allowed("--altitude", options.altitudes, "ambient", "altitude");
  require_allowed("--temperature", options.temperatures, "ambient", "temperature");
  require_allowed("--humidity", options.humidities, "ambient", "relative_humidity");
  require_allowed("--fuel", options.fuels, "combustion", "fuel");
  std::vector<Change> changes;
  for (const auto& text : options.altitudes) changes.push_back(altitude_change(text));
  for (const auto& text : options.temperatures) changes.push_back(temperature_change(text));
  for (const auto& text : options.humidities) changes.push_back(humidity_change(text));
  for (const auto& text : options.fuels) changes.push_back(fuel_change(text));
  if (changes.empty()) {
    throw UsageError(
        "conditions: names no change; give --altitude, --temperature, --humidity or --fuel");
  }
  if (!options.together) return changes;
  for (const auto* list :
       {&options.altitudes, &options.temperatures, &options.humidities, &options.fuels}) {
    if (list->size() > 1) throw UsageError("--together: give one value of each option");
  }
  return {together(changes)};
}

void conditions(const ConditionsOptions& options, int& exit_code) {
  const std::vector<Change> changes = changes_of(options);
  const cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  if (!case_file.has_engine()) {
    throw UsageError(fmt::format("{}: the case has pipes only, no engine", options.case_file));
  }
  if (options.csv) require_writable("--csv", *options.csv, Writing::in_place);
  mention_remarks(case_file, options.common.quiet);
  WhatIfOptions chosen;
  chosen.header = options.header.value_or(case_file.headers.front().name);
  chosen.speeds = speeds_option("--speeds", options.speeds);
  std::sort(chosen.speeds.begin(), chosen.speeds.end());
  if (options.cell_size) {
    chosen.cell_size = cells_option(*options.cell_size, options.common.message_units());
  }
  chosen.jobs = options.jobs.value_or(all_cores());
  chosen.keep_going = [] { return !interrupted(); };
  std::optional<Progress> progress;
  chosen.begin = [&](std::size_t runs) {
    progress.emplace(runs, static_cast<double>(runs), options.common.quiet);
  };
  chosen.run_done = [&] { progress->part_done(1); };
  watch_interrupts();
  const WhatIf outcome = what_if(case_file, changes, chosen);
  progress.reset();
  if (options.csv) {
    write_text("--csv", *options.csv, what_if_csv(outcome, options.common.units));
  }
  fmt::print("{}\n", options.common.json ? json_text(what_if_json(outcome))
                                         : what_if_text(outcome, options.common.units));
  if (!outcome.base.faults.empty() ||
      std::any_of(outcome.changes.begin(), outcome.changes.end(),
                  [](const ChangeOutcome& change) { return !change.faults.empty(); })) {
    exit_code = exit_run_failed;
  }
}

}  // namespace

void add_conditions_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ConditionsOptions>();
  CLI::App* verb =
      app.add_subcommand("conditions", "Torque at altitude, in other weather, with another fuel");
  verb->add_option("case", options->case_file, "Case file (TOML)")->required()->type_name("FILE");
  add_list_option(*verb, "--altitude", options->altitudes, "LENGTH,...",
                  "Pressure of the standard atmosphere at this height, e.g. \"5000 ft\"");
  add_list_option(*verb, "--temperature", options->temperatures, "TEMPERATURE,...",
                  "Temperature of the air, e.g. \"95 F\"");
  add_list_option(*verb, "--humidity", options->humidities, "PART,...",
                  "Relative humidity, from 0 to 1");
  add_list_option(
      *verb, "--fuel", options->fuels, "NAME,...",
      fmt::format(
          "Another fuel, in the mixture for power: {}",
          fmt::join(cases::choices_of(*cases::find_parameter("combustion", "fuel")), ", ")));
  verb->add_flag("--together", options->together,
                 "All of them at once (default: each change by itself)");
  verb->add_option("--header", options->header, "Name of the header (default: the first)")
      ->type_name("NAME");
  add_list_option(*verb, "--speeds", options->speeds, "RPM,...",
                  "Speeds, also ranges, e.g. 3000-5000:250 (default: up to seven of the band)");
  verb->add_option("--cells", options->cell_size,
                   "Cell size, e.g. \"30 mm\" (default: three times that of the case)")
      ->type_name("LENGTH");
  verb->add_option("--csv", options->csv, "Also write a table by speed (CSV)")->type_name("FILE");
  verb->add_option("--jobs,-j", options->jobs, "Threads that compute (default: all cores)")
      ->check(CLI::Range(1, 1024));
  add_common_options(*verb, options->common);
  verb->footer(
      "Example: pulsewright conditions cases/inline-four.toml --altitude \"5000 ft\" --fuel e85");
  verb->callback([options, &exit_code] { conditions(*options, exit_code); });
}

}  // namespace pulsewright::tools
