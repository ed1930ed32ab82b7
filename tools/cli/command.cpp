#include "tools/cli/command.hpp"

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <map>
#include <thread>

#include "cases/case_error.hpp"
#include "cases/case_file.hpp"
#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "models/engine/run_fault.hpp"
#include "tools/results/study_plan.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

std::atomic<bool> interrupt_seen{false};

extern "C" void on_interrupt(int signal) {
  if (interrupt_seen.exchange(true)) {
    std::signal(signal, SIG_DFL);
    std::raise(signal);
  }
}

}  // namespace

void watch_interrupts() {
  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
}

const std::atomic<bool>& interrupted() { return interrupt_seen; }

void add_common_options(CLI::App& app, CommonOptions& options) {
  app.add_flag("--quiet,-q", options.quiet, "No progress and no remarks on stderr");
  app.add_flag("--json", options.json, "Print JSON (SI units, speeds in rpm) instead of text");
  app.add_option_function<std::string>(
         "--units",
         [&options](const std::string& text) {
           if (text != "metric" && text != "inch") {
             throw UsageError(fmt::format("--units = '{}': allowed are metric and inch", text));
           }
           options.units = text == "inch" ? UnitSystem::inch : UnitSystem::metric;
         },
         "Units of printed text: metric or inch")
      ->type_name("NAME");
}

void add_law_option(CLI::App& app, std::optional<models::JunctionLaw>& law) {
  app.add_option_function<std::string>(
         "--merge-model",
         [&law](const std::string& text) {
           law = cases::law_of_name(text);
           if (!law) {
             throw UsageError(
                 fmt::format("--merge-model = '{}': allowed are momentum, "
                             "constant_pressure and plenum",
                             text));
           }
         },
         "How pipes meet: momentum, constant_pressure or plenum (default: as the case says)")
      ->type_name("NAME");
}

double cells_option(const std::string& text) {
  const cases::Parameter& key = *cases::find_parameter("run", "cell_size");
  try {
    const double value = cases::parse_quantity(text, key.dimension);
    if (value >= cases::parse_quantity(key.least, key.dimension) &&
        value <= cases::parse_quantity(key.greatest, key.dimension)) {
      return value;
    }
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("--cells = '{}': {}", text, error.what()));
  }
  throw UsageError(fmt::format("--cells = '{}': allowed is {}", text, cases::allowed_text(key)));
}

double speed_option(const std::string& option, const std::string& text) {
  const bool bare = !text.empty() && text.find_first_not_of("0123456789.") == std::string::npos;
  try {
    const double value =
        cases::parse_quantity(bare ? text + " rpm" : text, cases::Dimension::rotation);
    if (!(value >= 1.0 && value <= 500.0)) {
      throw UsageError(
          fmt::format("{} = '{}': allowed are 60 to 30000 rpm, for example 6000", option, text));
    }
    return value;
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("{} = '{}': {}", option, text, error.what()));
  }
}

unsigned all_cores() { return std::max(1U, std::thread::hardware_concurrency()); }

namespace {

int run_verb(int argc, char** argv, std::unique_ptr<ProcessGroup>& process_group) {
  int exit_code = exit_done;
  try {
    process_group = join_process_group(argc, argv);
    watch_interrupts();
    if (process_group && !process_group->leads() &&
        (argc < 2 || std::string(argv[1]) != "compare")) {
      return exit_done;  // what is no study is done by the process that leads
    }
    CLI::App app{
        "One-dimensional gas dynamics of exhaust headers: compare headers before cutting "
        "tube.",
        "pulsewright"};
    app.set_version_flag("--version",
                         fmt::format("pulsewright {} ({})", program_version, program_commit));
    app.require_subcommand(1);
    app.footer(
        "Example: pulsewright compare cases/hillclimb-v8.toml -o results.h5\n"
        "Exit codes: 0 done, 1 the run failed or was stopped, 2 the input is wrong.");
    add_check_command(app, exit_code);
    add_run_command(app, exit_code);
    add_compare_command(app, exit_code, process_group.get());
    add_report_command(app, exit_code);
    add_validate_command(app, exit_code);
    std::vector<std::string> verbs;
    for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; })) {
      verbs.push_back(verb->get_name());
    }
    if (argc > 1 && argv[1][0] != '-' &&
        std::find(verbs.begin(), verbs.end(), argv[1]) == verbs.end()) {
      throw UsageError(fmt::format("'{}' is no verb; allowed are {} (see pulsewright --help)",
                                   argv[1], fmt::join(verbs, ", ")));
    }
    try {
      app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
      return app.exit(error) == 0 ? exit_done : exit_wrong_input;
    }
    if (std::fflush(stdout) != 0) throw std::runtime_error("cannot write to the standard output");
    return exit_code;
  } catch (const cases::CaseError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return exit_wrong_input;
  } catch (const UsageError& error) {
    fmt::print(stderr, "pulsewright: {}\n", error.what());
    return exit_wrong_input;
  } catch (const PlanMismatch& error) {
    fmt::print(stderr, "pulsewright: {}\n", error.what());
    return exit_wrong_input;
  } catch (const std::invalid_argument& error) {
    fmt::print(stderr, "pulsewright: {}\n", error.what());
    return exit_wrong_input;
  } catch (const models::RunStopped&) {
    fmt::print(stderr, "pulsewright: stopped\n");
    return exit_run_failed;
  } catch (const std::exception& error) {
    fmt::print(stderr, "pulsewright: {}\n", error.what());
    return exit_run_failed;
  }
}

}  // namespace

int run_program(int argc, char** argv) {
  std::unique_ptr<ProcessGroup> process_group;
  const int exit_code = run_verb(argc, argv, process_group);
  if (!process_group) return exit_code;
  process_group->end(exit_code);
  return process_group->leads() ? exit_code : exit_done;  // the launcher is to see one code
}

}  // namespace pulsewright::tools
