#include "tools/cli/command.hpp"

#include <algorithm>
#include <csignal>
#include <fmt/format.h>
#include <string_view>
#include <thread>
#include <unistd.h>

#include "cases/case_file.hpp"
#include "cases/parameters.hpp"
#include "cases/quantity.hpp"

namespace pulsewright::tools {

namespace {

std::atomic<bool> interrupt_seen{false};

extern "C" void note_interrupt(int signal) {
  if (interrupt_seen.exchange(true)) {
    std::signal(signal, SIG_DFL);
    std::raise(signal);
  }
}

extern "C" void end_program(int) {
  constexpr std::string_view text = "pulsewright: stopped\n";
  static_cast<void>(::write(STDERR_FILENO, text.data(), text.size()));
  ::_exit(exit_run_failed);
}

void on_interrupts(void (*action)(int)) {
  std::signal(SIGINT, action);
  std::signal(SIGTERM, action);
}

}  // namespace

void watch_interrupts() { on_interrupts(note_interrupt); }

void end_at_interrupts() { on_interrupts(end_program); }

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
                 fmt::format("--merge-model = '{}': allowed is {}", text,
                             cases::allowed_text(*cases::find_parameter("exhaust", "junction"))));
           }
         },
         fmt::format("Junction law, {} (default: that of the case)",
                     cases::allowed_text(*cases::find_parameter("exhaust", "junction"))))
      ->type_name("NAME");
}

namespace {

// A quantity within the range that the case file allows its key: SI.
double quantity_option(const std::string& option, const std::string& text,
                       const std::string& with_unit, std::string_view key_of_run) {
  const cases::Parameter& key = *cases::find_parameter("run", key_of_run);
  try {
    const double value = cases::parse_quantity(with_unit, key.dimension);
    const cases::Range allowed = cases::allowed_range("run", key_of_run);
    if (value >= allowed.least && value <= allowed.greatest) return value;
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("{} = '{}': {}", option, text, error.what()));
  }
  throw UsageError(fmt::format("{} = '{}': allowed is {}", option, text, cases::allowed_text(key)));
}

}  // namespace

double cells_option(const std::string& text) {
  return quantity_option("--cells", text, text, "cell_size");
}

double speed_option(const std::string& option, const std::string& text) {
  const bool bare = !text.empty() && text.find_first_not_of("0123456789.") == std::string::npos;
  return quantity_option(option, text, bare ? text + " rpm" : text, "from");
}

unsigned all_cores() { return std::max(1U, std::thread::hardware_concurrency()); }

}  // namespace pulsewright::tools
