#include "tools/cli/program.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <iostream>
#include <iterator>
#include <memory>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_error.hpp"
#include "cases/visible_text.hpp"
#include "models/engine/run_fault.hpp"
#include "solver/simd/dispatch.hpp"
#include "tools/cli/check_command.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/command_pages.hpp"
#include "tools/cli/compare_command.hpp"
#include "tools/cli/conditions_command.hpp"
#include "tools/cli/cutsheet_command.hpp"
#include "tools/cli/dyno_command.hpp"
#include "tools/cli/help_format.hpp"
#include "tools/cli/live_command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/new_command.hpp"
#include "tools/cli/report_command.hpp"
#include "tools/cli/run_command.hpp"
#include "tools/cli/size_command.hpp"
#include "tools/cli/sound_command.hpp"
#include "tools/cli/sweep_command.hpp"
#include "tools/cli/tolerance_command.hpp"
#include "tools/cli/tune_command.hpp"
#include "tools/cli/validate_command.hpp"
#include "tools/results/store_error.hpp"
#include "tools/spread/process_group.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

// What is printed about the command line itself.
struct Pages {
  bool man = false, completion = false;

  // Whether there was any.
  bool print(const CLI::App& app) const {
    if (man) fmt::print("{}", man_page(app, fmt::format("pulsewright {}", program_version)));
    if (completion) fmt::print("{}", bash_completion(app));
    return man || completion;
  }
};

// Whether the processes of a job share the work of a verb.
bool is_shared(std::string_view verb) {
  constexpr std::string_view shared[] = {"compare", "sweep", "tune", "tolerance"};
  return std::find(std::begin(shared), std::end(shared), verb) != std::end(shared);
}

int run_verb(int argc, char** argv, std::unique_ptr<ProcessGroup>& process_group) {
  int exit_code = exit_done;
  try {
    end_at_interrupts();
    process_group = join_process_group(argc, argv);
    solver::instruction_set();  // refuses a wrong PULSEWRIGHT_SIMD before anything is computed
    if (process_group && !process_group->is_coordinator() && (argc < 2 || !is_shared(argv[1]))) {
      return exit_done;  // what is no study is done by the coordinator
    }
    CLI::App app{
        "One-dimensional gas dynamics of exhaust headers: compare headers before cutting "
        "tube.",
        "pulsewright"};
    app.formatter(help_format());
    app.set_version_flag("--version",
                         fmt::format("pulsewright {} ({})", program_version, program_commit));
    Pages pages;
    app.add_flag("--man-page", pages.man, "Print the manual page of the command line (roff)");
    app.add_flag("--bash-completion", pages.completion,
                 "Print the completion of the command line for bash");
    // None is allowed here, and refused below: an unknown option is then named before the missing
    // verb.
    app.require_subcommand(0, 1);
    app.footer(
        "Example: pulsewright compare cases/hillclimb-v8.toml -o results.h5\n"
        "Exit codes: 0 done, 1 the run failed or was stopped, 2 the input is wrong.");
    add_new_command(app);
    add_check_command(app);
    add_size_command(app);
    add_run_command(app, exit_code);
    add_compare_command(app, exit_code, process_group.get());
    add_sweep_command(app, exit_code, process_group.get());
    add_tune_command(app, exit_code, process_group.get());
    add_tolerance_command(app, exit_code, process_group.get());
    add_report_command(app, exit_code);
    add_live_command(app);
    add_cutsheet_command(app);
    add_dyno_command(app, exit_code);
    add_conditions_command(app, exit_code);
    add_sound_command(app, exit_code);
    add_validate_command(app, exit_code);
    std::vector<std::string> verbs;
    for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; })) {
      verbs.push_back(verb->get_name());
    }
    if (argc > 1 && argv[1][0] != '-' &&
        std::find(verbs.begin(), verbs.end(), argv[1]) == verbs.end()) {
      throw UsageError(fmt::format("'{}' is no verb; allowed are {} (see pulsewright --help)",
                                   cases::shortened(argv[1]), fmt::join(verbs, ", ")));
    }
    try {
      app.parse(argc, argv);
      if (pages.print(app)) {
        finish_output();
        return exit_done;
      }
      if (app.get_subcommands().empty()) {
        throw UsageError(fmt::format("names no verb; allowed are {} (see pulsewright --help)",
                                     fmt::join(verbs, ", ")));
      }
    } catch (const CLI::ParseError& error) {
      std::ostringstream said;
      if (app.exit(error, std::cout, said) != 0) {
        print_message(said.str());
        return exit_wrong_input;
      }  // else help or version was asked for
    }
    finish_output();
    return exit_code;
  } catch (const cases::CaseError& error) {
    print_message(fmt::format("{}\n", error.what()));
    return exit_wrong_input;
  } catch (const UsageError& error) {
    print_message(fmt::format("pulsewright: {}\n", error.what()));
    return exit_wrong_input;
  } catch (const PlanMismatch& error) {
    print_message(fmt::format("pulsewright: {}\n", error.what()));
    return exit_wrong_input;
  } catch (const FormatVersionError& error) {
    print_message(fmt::format("pulsewright: {}\n", error.what()));
    return exit_wrong_input;
  } catch (const std::invalid_argument& error) {
    print_message(fmt::format("pulsewright: {}\n", error.what()));
    return exit_wrong_input;
  } catch (const models::RunStopped&) {
    print_message("pulsewright: stopped\n");
    return exit_run_failed;
  } catch (const std::exception& error) {
    print_message(
        fmt::format("pulsewright: {}\n", output_failed() ? output_failure : error.what()));
    return exit_run_failed;
  }
}

}  // namespace

int run_program(int argc, char** argv) {
  secure_standard_streams();
  std::unique_ptr<ProcessGroup> process_group;
  const int exit_code = run_verb(argc, argv, process_group);
  finish_messages();
  if (!process_group) return exit_code;
  process_group->shut_down(exit_code);
  return process_group->is_coordinator() ? exit_code
                                         : exit_done;  // the launcher is to see one code
}

}  // namespace pulsewright::tools
