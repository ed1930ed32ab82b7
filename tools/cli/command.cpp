#include "tools/cli/command.hpp"

#include <algorithm>
#include <csignal>
#include <fmt/format.h>
#include <string_view>
#include <thread>
#include <unistd.h>

#include "cases/counted.hpp"
#include "cases/parameters.hpp"
#include "cases/quantity.hpp"
#include "cases/speed_range.hpp"
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
         "Units of printed text")
      ->type_name("metric|inch");
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
  print_message(fmt::format("pulsewright: {} on {}; to see {}: pulsewright check {}\n",
                            cases::counted(count, "remark"), case_file.file_name,
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
         "Junction law (default: that of the case)")
      ->type_name(fmt::format(
          "{}", fmt::join(cases::choices_of(*cases::find_parameter("exhaust", "junction")), "|")));
}

namespace {

// A quantity within the range that the case file allows its key: SI.
double quantity_option(const std::string& option, const std::string& text,
                       const std::string& with_unit, std::string_view key_of_run,
                       cases::MessageUnits units = cases::MessageUnits::metric) {
  const cases::Parameter& key = *cases::find_parameter("run", key_of_run);
  try {
    const double value = cases::parse_quantity(with_unit, key.dimension);
    const cases::Range allowed = cases::allowed_range("run", key_of_run);
    if (value >= allowed.least && value <= allowed.greatest) return value;
  } catch (const cases::QuantityError& error) {
    throw UsageError(fmt::format("{} = '{}': {}", option, cases::shortened(text), error.what()));
  }
  throw UsageError(fmt::format("{} = '{}': allowed is {}", option, cases::shortened(text),
                               cases::allowed_text(key, cases::QuantityText(units))));
}

}  // namespace

double cells_option(const std::string& text, cases::MessageUnits units) {
  return quantity_option("--cells", text, text, "cell_size", units);
}

namespace {

// A number alone is in rpm.
std::string with_rpm(const std::string& text) {
  const bool bare = !text.empty() && text.find_first_not_of("0123456789.") == std::string::npos;
  return bare ? text + " rpm" : text;
}

// "3000-5000:250"; places of "-" and ":" in the text, npos if there is none.
std::vector<double> range_option(const std::string& option, const std::string& text,
                                 std::size_t dash, std::size_t colon) {
  const auto refused = [&](std::string_view why) {
    return UsageError(fmt::format(
        "{} = '{}': {}; a range is first speed, last speed and step, for example 3000-5000:250",
        option, cases::shortened(text), why));
  };
  if (dash == std::string::npos || dash > colon) throw refused("has a step, but not two speeds");
  if (colon == std::string::npos) throw refused("has two speeds, but no step");
  const std::string step = text.substr(colon + 1);
  const cases::SpeedRange range{speed_option(option, text.substr(0, dash)),
                                speed_option(option, text.substr(dash + 1, colon - dash - 1)),
                                quantity_option(option, step, with_rpm(step), "step")};
  if (!range.rises()) throw refused("ends below its first speed");
  if (range.count() > cases::most_speeds) {
    throw refused(fmt::format("has more than {} speeds", cases::most_speeds));
  }
  return range.speeds();
}

}  // namespace

double speed_option(const std::string& option, const std::string& text) {
  return quantity_option(option, text, with_rpm(text), "from");
}

std::vector<double> speeds_option(const std::string& option, const std::vector<std::string>& list) {
  std::vector<double> speeds;
  const auto add = [&](double speed) {
    const auto is_it = [&](double other) { return cases::same_speed(speed, other); };
    if (std::none_of(speeds.begin(), speeds.end(), is_it)) speeds.push_back(speed);
  };
  for (const std::string& text : list) {
    const std::size_t dash = text.find('-', 1);  // at the beginning it is a sign
    const std::size_t colon = text.find(':');
    if (dash == std::string::npos && colon == std::string::npos) {
      add(speed_option(option, text));
    } else {
      for (const double speed : range_option(option, text, dash, colon)) add(speed);
    }
  }
  return speeds;
}

std::string json_text(const nlohmann::json& json) {
  return json.dump(2, ' ', true, nlohmann::json::error_handler_t::replace);
}

std::pair<double, double> band_option(const std::string& option, const std::string& text) {
  const std::size_t dash = text.find('-', 1);
  if (dash == std::string::npos) {
    throw UsageError(fmt::format(
        "{} '{}': give the lower and the upper speed in rpm, for example 4500-7000", option, text));
  }
  const std::pair<double, double> band{speed_option(option, text.substr(0, dash)),
                                       speed_option(option, text.substr(dash + 1))};
  if (!(band.first < band.second)) {
    throw UsageError(
        fmt::format("{} '{}': the second speed must be above the first", option, text));
  }
  return band;
}

unsigned all_cores() { return std::max(1U, std::thread::hardware_concurrency()); }

}  // namespace pulsewright::tools
