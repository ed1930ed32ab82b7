#include "tools/cli/command.hpp"

#include <algorithm>
#include <csignal>
#include <fmt/format.h>
#include <string_view>
#include <thread>
#include <unistd.h>

#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"
#include "tools/cli/messages.hpp"

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
             throw UsageError(fmt::format("--units = '{}': allowed are metric and inch",
                                          cases::shortened(text)));
           }
           options.units = text == "inch" ? UnitSystem::inch : UnitSystem::metric;
         },
         "Units of printed text: metric or inch")
      ->type_name("NAME");
}

void add_list_option(CLI::App& app, const std::string& name, std::vector<std::string>& list,
                     const std::string& type_name, const std::string& description) {
  const auto take = [&list, name](const std::vector<std::string>& given) {
    for (const std::string& text : given) {
      std::size_t from = 0;
      while (from != std::string::npos) {
        const std::size_t comma = text.find(',', from);
        list.push_back(text.substr(from, comma - from));
        if (list.back().empty()) {
          throw UsageError(
              fmt::format("{} = '{}': has an empty entry; separate entries by one comma, "
                          "without spaces",
                          name, cases::shortened(text)));
        }
        from = comma == std::string::npos ? comma : comma + 1;
      }
    }
  };
  // One argument only: what follows belongs to another option, or is the case file.
  app.add_option_function<std::vector<std::string>>(name, take, description)
      ->allow_extra_args(false)
      ->type_name(type_name);
}

void mention_remarks(const cases::CaseFile& case_file, bool quiet) {
  const std::size_t count = case_file.remarks.size();
  if (quiet || count == 0) return;
  print_message(fmt::format("pulsewright: {} {} on {}; to see {}: pulsewright check {}\n", count,
                            count == 1 ? "remark" : "remarks", case_file.file_name,
                            count == 1 ? "it" : "them", case_file.file_name));
}

void add_law_option(CLI::App& app, std::optional<models::JunctionLaw>& law) {
  app.add_option_function<std::string>(
         "--merge-model",
         [&law](const std::string& text) {
           law = cases::law_of_name(text);
           if (!law) {
             throw UsageError(
                 fmt::format("--merge-model = '{}': allowed is {}", cases::shortened(text),
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
    throw UsageError(fmt::format("{} = '{}': {}", option, cases::shortened(text), error.what()));
  }
  throw UsageError(fmt::format("{} = '{}': allowed is {}", option, cases::shortened(text),
                               cases::allowed_text(key)));
}

}  // namespace

double cells_option(const std::string& text) {
  return quantity_option("--cells", text, text, "cell_size");
}

double speed_option(const std::string& option, const std::string& text) {
  const bool bare = !text.empty() && text.find_first_not_of("0123456789.") == std::string::npos;
  return quantity_option(option, text, bare ? text + " rpm" : text, "from");
}

std::string json_text(const nlohmann::json& json) {
  return json.dump(2, ' ', true, nlohmann::json::error_handler_t::replace);
}

unsigned all_cores() { return std::max(1U, std::thread::hardware_concurrency()); }

}  // namespace pulsewright::tools
