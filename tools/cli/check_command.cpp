#include "tools/cli/check_command.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "cases/manual.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "tools/cli/command.hpp"

namespace pulsewright::tools {

namespace {

struct CheckOptions {
  CommonOptions common;
  std::string case_file;
  bool manual = false;
};

std::string joined(const std::vector<int>& numbers, const char* between) {
  return fmt::format("{}", fmt::join(numbers, between));
}

void print_header(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                  const DisplayUnits& u, int digits) {
  const auto engine = cases::build_engine(case_file, header);
  fmt::print("\n{} ({}): {} pipes, {} cells\n", header.name, cases::kind_name(header.kind),
             engine.pipes.size(), cases::cell_count(engine));
  for (const auto& group : header.groups) {
    std::vector<std::string> gaps;
    for (const double gap : group.interval_deg) gaps.push_back(fmt::format("{:.0f}", gap));
    fmt::print("  collector {}: cylinders {} in firing order, {} deg apart\n", group.name,
               joined(group.cylinders, "-"), fmt::join(gaps, "/"));
    for (std::size_t i = 0; i < group.cylinders.size(); ++i) {
      const auto length = header.primary_length.find(group.cylinders[i]);
      if (length == header.primary_length.end()) continue;
      fmt::print("    cylinder {}: {:.{}f} {}, position {} round the collector\n",
                 group.cylinders[i], length->second * u.length.factor, digits, u.length.name,
                 i < group.collector_position.size() ? group.collector_position[i] : 0);
    }
  }
}

void check(const CheckOptions& options) {
  if (options.manual) {
    fmt::print("{}", cases::manual_page());
    return;
  }
  if (options.case_file.empty()) {
    throw UsageError("check: names no case file; for example: pulsewright check my-engine.toml");
  }
  const cases::CaseFile case_file = cases::read_case_file(options.case_file);
  if (options.common.json) {
    nlohmann::json j{{"title", case_file.title}, {"valid", true}};
    for (const auto& header : case_file.headers) j["headers"].push_back(header.name);
    fmt::print("{}\n", j.dump(2));
    return;
  }
  const DisplayUnits u(options.common.units);
  const int digits = options.common.units == UnitSystem::metric ? 0 : 2;
  fmt::print("{}\n{}: no errors\n", case_file.title, options.case_file);
  if (case_file.invented) fmt::print("The data are invented and belong to no real engine.\n");
  if (case_file.has_engine()) {
    const models::CrankSlider crank(case_file.engine.geometry);
    fmt::print(
        "{} cylinders, {:.0f} cm3, firing order {}\n", case_file.engine.firing_order.size(),
        1e6 * crank.swept_volume() * static_cast<double>(case_file.engine.firing_order.size()),
        joined(case_file.engine.firing_order, "-"));
    fmt::print("{} speeds from {:.0f} to {:.0f} rpm\n", case_file.run.speeds.size(),
               60 * case_file.run.speeds.front(), 60 * case_file.run.speeds.back());
  }
  for (const auto& header : case_file.headers) print_header(case_file, header, u, digits);
}

}  // namespace

void add_check_command(CLI::App& app) {
  auto options = std::make_shared<CheckOptions>();
  CLI::App* verb = app.add_subcommand(
      "check", "Read a case and show what was understood, without simulating it");
  verb->add_option("case", options->case_file, "Case file (TOML)")->type_name("FILE");
  verb->add_flag("--manual", options->manual, "Print the manual page of the case file");
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright check cases/hillclimb-v8.toml --units inch");
  verb->callback([options] { check(*options); });
}

}  // namespace pulsewright::tools
