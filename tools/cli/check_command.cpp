#include "tools/cli/check_command.hpp"

#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "cases/counted.hpp"
#include "cases/manual.hpp"
#include "cases/quantity_text.hpp"
#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "models/engine/point_simulation.hpp"
#include "tools/cli/assumption_text.hpp"
#include "tools/cli/check_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/default_effects.hpp"

namespace pulsewright::tools {

namespace {

struct CheckOptions {
  CommonOptions common;
  std::string case_file;
  bool manual = false;
  bool defaults = false;
};

nlohmann::json remarks_json(const cases::CaseFile& case_file) {
  auto list = nlohmann::json::array();
  for (const auto& remark : case_file.remarks) {
    list.push_back({{"line", remark.line},
                    {"key", remark.key},
                    {"value", remark.value},
                    {"message", remark.message},
                    {"advice", remark.advice}});
  }
  return list;
}

// Whether a run of every header can be begun. What stands against it was to be found by the reader,
// which knows the line of it; that of the header is the best that is known here.
void begin_every_header(const cases::CaseFile& case_file) {
  if (!case_file.has_engine()) return;
  for (const auto& header : case_file.headers) {
    try {
      const models::PointSimulation run(cases::build_engine(case_file, header),
                                        case_file.run.speeds.front(), case_file.run.settings);
    } catch (const std::invalid_argument& error) {
      cases::Problem problem;
      problem.file = case_file.file_name;
      problem.line = header.line;
      problem.key = fmt::format("header \"{}\"", header.name);
      problem.message = fmt::format("cannot be simulated: {}", error.what());
      throw cases::CaseError({problem});
    }
  }
}

void check(const CheckOptions& options) {
  if (options.manual) {
    fmt::print("{}", cases::manual_page(cases::ManualForm::plain));
    return;
  }
  if (options.case_file.empty()) {
    throw UsageError("check: names no case file; for example: pulsewright check my-engine.toml");
  }
  const cases::CaseFile case_file =
      cases::read_case_file(options.case_file, options.common.message_units());
  begin_every_header(case_file);
  std::optional<DefaultEffects> effects;
  if (options.defaults) {
    if (!case_file.has_engine()) {
      throw UsageError(fmt::format("--defaults: {} has pipes only, no engine", options.case_file));
    }
    watch_interrupts();
    effects = default_effects(case_file, interrupted());
  }
  if (options.common.json) {
    nlohmann::json j{
        {"title", case_file.title}, {"valid", true}, {"remarks", remarks_json(case_file)}};
    if (case_file.has_engine()) j["engine"] = engine_json(case_file);
    if (case_file.has_engine()) j["assumptions"] = assumptions_json(case_file, effects);
    for (const auto& header : case_file.headers) {
      j["headers"].push_back(header.name);
      j["header_figures"].push_back(header_json(case_file, header));
    }
    fmt::print("{}\n", json_text(j));
    return;
  }
  const cases::QuantityText shown(options.common.message_units());
  const std::string remarks =
      case_file.remarks.empty()
          ? ""
          : ", " + cases::counted(case_file.remarks.size(), "remark") + " below";
  fmt::print("{}\n{}: no errors{}\n", case_file.title, cases::visible(options.case_file), remarks);
  if (case_file.invented) fmt::print("The data are invented and belong to no real engine.\n");
  if (case_file.has_engine()) fmt::print("{}", engine_text(case_file, shown));
  for (const auto& header : case_file.headers) {
    fmt::print("\n{}", header_text(case_file, header, shown));
  }
  const std::string assumed = assumptions_text(case_file, effects, shown);
  if (!assumed.empty()) fmt::print("\n{}", assumed);
  if (case_file.remarks.empty()) return;
  fmt::print("\nTo be looked at; it can be simulated as it stands:\n");
  for (const auto& remark : case_file.remarks) {
    fmt::print("{}\n", cases::wrapped(cases::to_text(remark), 2));
  }
}

}  // namespace

void add_check_command(CLI::App& app) {
  auto options = std::make_shared<CheckOptions>();
  CLI::App* verb = app.add_subcommand(
      "check", "Read a case and show what was understood, without simulating it");
  verb->add_option("case", options->case_file, "Case file (TOML)")->type_name("FILE");
  verb->add_flag("--manual", options->manual, "Print the manual page of the case file");
  verb->add_flag("--defaults", options->defaults,
                 "Show by how much each default changes the torque over its range");
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright check cases/hillclimb-v8.toml --units inch");
  verb->callback([options] { check(*options); });
}

}  // namespace pulsewright::tools
