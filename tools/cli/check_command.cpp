#include "tools/cli/check_command.hpp"

#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>
#include <numbers>

#include "cases/case_reader.hpp"
#include "cases/manual.hpp"
#include "cases/visible_text.hpp"
#include "models/boundary/merge_place.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/engine/point_simulation.hpp"
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

// Where the tubes of a collector meet, counted from their crotch.
void print_merge(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                 const cases::CollectorGroup& group, const DisplayUnits& u, int digits) {
  const std::size_t n = group.cylinders.size();
  if (n < 2) return;
  const double bore = header.primary_tube.inside_diameter;
  const double behind = models::merge_behind_crotch(bore, case_file.exhaust.law);
  const double half_angle = case_file.exhaust.merge_half_angle_deg * std::numbers::pi / 180;
  fmt::print("    the pipes meet {:.{}f} {} behind the crotch, to which lengths are measured",
             behind * u.length.factor, digits + 1, u.length.name);
  if (half_angle > 0 && half_angle < 0.49 * std::numbers::pi) {
    const double axes =
        models::crotch_distance(bore, half_angle, 2 * std::numbers::pi / static_cast<double>(n));
    fmt::print("; the axes of the tubes {:.{}f} {} behind it", axes * u.length.factor, digits,
               u.length.name);
  }
  fmt::print("\n");
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
      const int position = group.collector_position[i];
      fmt::print("    cylinder {}: {:.{}f} {}, position {} round the collector, {:.0f} deg\n",
                 group.cylinders[i], length->second * u.length.factor, digits, u.length.name,
                 position, 360.0 * (position - 1) / static_cast<double>(group.cylinders.size()));
    }
    if (header.kind != cases::HeaderKind::four_two_one) {
      print_merge(case_file, header, group, u, digits);
    }
  }
}

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

std::string remark_count(const cases::CaseFile& case_file) {
  const std::size_t count = case_file.remarks.size();
  if (count == 0) return "";
  return fmt::format(", {} remark{} below", count, count == 1 ? "" : "s");
}

// Whether a run of every header can be begun. What stands against it was to be found by the reader,
// which knows the line of it; that of the header is the best that is known here.
void try_headers(const cases::CaseFile& case_file) {
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
  const cases::CaseFile case_file = cases::read_case_file(options.case_file);
  try_headers(case_file);
  if (options.common.json) {
    nlohmann::json j{
        {"title", case_file.title}, {"valid", true}, {"remarks", remarks_json(case_file)}};
    for (const auto& header : case_file.headers) j["headers"].push_back(header.name);
    fmt::print("{}\n", json_text(j));
    return;
  }
  const DisplayUnits u(options.common.units);
  const int digits = options.common.units == UnitSystem::metric ? 0 : 2;
  fmt::print("{}\n{}: no errors{}\n", case_file.title, cases::visible(options.case_file),
             remark_count(case_file));
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
  if (case_file.remarks.empty()) return;
  fmt::print("\nTo be looked at; it can be simulated as it stands:\n");
  for (const auto& remark : case_file.remarks) fmt::print("{}\n", cases::to_text(remark));
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
