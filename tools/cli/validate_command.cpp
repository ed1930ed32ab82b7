#include "tools/cli/validate_command.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <ctime>
#include <filesystem>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "cases/counted.hpp"
#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/study/text_table.hpp"
#include "tools/version.hpp"
#include "validation/plots.hpp"
#include "validation/report_page.hpp"
#include "validation/run_cases.hpp"

namespace pulsewright::tools {

namespace {

using validation::CaseOutcome;
using validation::Figure;

struct ValidateOptions {
  bool quiet = false, json = false, also_long = false, list = false;
  std::string group, name, folder, broken;
  unsigned jobs = all_cores();
};

std::vector<const validation::CaseEntry*> chosen(const ValidateOptions& options) {
  std::vector<const validation::CaseEntry*> cases;
  std::set<std::string> groups, names;
  for (const auto& entry : validation::all_cases()) {
    groups.insert(entry.group);
    if (!options.group.empty() && entry.group != options.group) continue;
    names.insert(entry.group + "/" + entry.name);
    const bool named = options.name == entry.name || options.name == entry.group + "/" + entry.name;
    if (!options.name.empty() && !named) continue;
    // A case that is requested by name runs, long or not.
    if (entry.is_long && !options.also_long && !named && !options.list) continue;
    cases.push_back(&entry);
  }
  if (!options.group.empty() && !groups.contains(options.group)) {
    throw UsageError(fmt::format("--group = '{}': allowed are {}", cases::shortened(options.group),
                                 fmt::join(groups, ", ")));
  }
  if (cases.empty() && !options.name.empty()) {
    const std::string nearest = cases::nearest_key(options.name, {names.begin(), names.end()});
    throw UsageError(fmt::format(
        "--case = '{}': is none of the {} cases{}; pulsewright validate "
        "--list names them, for example {}",
        cases::shortened(options.name), names.size(),
        nearest.empty() ? "" : fmt::format("; did you mean {}?", nearest), *names.rbegin()));
  }
  return cases;
}

validation::Broken broken_part(const std::string& name) {
  if (name.empty()) return validation::Broken::nothing;
  std::set<std::string> names;
  for (const auto& variant : validation::broken_variants()) {
    if (name == validation::name_of(variant.broken)) return variant.broken;
    names.insert(validation::name_of(variant.broken));
  }
  throw UsageError(fmt::format("--broken = '{}': allowed are {}", cases::shortened(name),
                               fmt::join(names, ", ")));
}

// Figures in 80 columns: the name of each on a line of its own, with its unit, the numbers below.
class FigureTable {
 public:
  FigureTable() {
    numbers_.row({"", "reference", "computed", "error", "tolerance", ""});
    numbers_.rule();
  }
  void heading(const std::string& text) { before_ += cases::wrapped(text, 2) + "\n"; }
  void row(const std::string& name, const std::array<std::string, 5>& cells) {
    names_.push_back(before_ + cases::wrapped("  " + name, 4) + "\n");
    before_.clear();
    numbers_.row({"", cells[0], cells[1], cells[2], cells[3], cells[4]});
  }
  std::string text() const {
    std::string out;
    std::istringstream lines(numbers_.text());
    std::size_t at = 0;
    for (std::string line; std::getline(lines, line); ++at) {
      if (at >= above_) out += names_[at - above_];
      out += line + "\n";
    }
    return out;
  }

 private:
  static constexpr std::size_t above_ = 2;  // head and rule
  TextTable numbers_;
  std::vector<std::string> names_;  // of each row, and what stands before it
  std::string before_;
};

// A table as it is, and where to read it if it is wider than a terminal.
std::string values_text(const validation::Table& values) {
  TextTable table;
  table.row(values.columns);
  table.rule();
  for (const auto& row : values.rows) table.row(row);
  std::string text = table.text();
  if (text.find('\n') > cases::terminal_width) {
    text += "(wider than 80 columns: validate -o FOLDER writes it into a page)\n";
  }
  return text;
}

void print_table(const std::vector<CaseOutcome>& outcomes) {
  FigureTable table;
  for (const auto& o : outcomes) {
    if (!o.was_run) continue;
    table.heading(fmt::format("{}/{}: {}", o.entry->group, o.entry->name, o.report.title));
    for (const Figure& f : o.report.figures) {
      table.row(f.unit.empty() ? f.quantity : f.quantity + ", " + f.unit,
                {validation::figure_number(f.expected), validation::figure_number(f.computed),
                 validation::error_text(f), validation::tolerance_text(f),
                 f.passed() ? validation::verdict_of(f) : "FAIL"});
    }
    if (!o.fault.empty()) table.row(o.fault, {"", "", "", "", "FAIL"});
  }
  fmt::print("{}", table.text());
  for (const auto& o : outcomes) {
    for (const validation::Table& values : o.report.tables) {
      fmt::print(
          "\n{}\n{}",
          cases::wrapped(fmt::format("{}/{}: {}", o.entry->group, o.entry->name, values.title), 2),
          values_text(values));
    }
  }
}

nlohmann::json as_json(const std::vector<CaseOutcome>& outcomes) {
  auto cases = nlohmann::json::array();
  for (const auto& o : outcomes) {
    if (!o.was_run) continue;
    nlohmann::json j{{"group", o.entry->group}, {"case", o.entry->name},
                     {"title", o.report.title}, {"passed", o.passed()},
                     {"seconds", o.seconds},    {"figures", nlohmann::json::array()}};
    if (!o.fault.empty()) j["fault"] = o.fault;
    for (const Figure& f : o.report.figures) {
      j["figures"].push_back({{"quantity", f.quantity},
                              {"unit", f.unit},
                              {"expected", f.expected},
                              {"computed", f.computed},
                              {"error", f.error()},
                              {"tolerance", f.tolerance},
                              {"goal", f.goal ? nlohmann::json(*f.goal) : nlohmann::json()},
                              {"relative", f.relative},
                              {"sense", f.sense == validation::Sense::equal     ? "equal"
                                        : f.sense == validation::Sense::at_most ? "at most"
                                                                                : "at least"},
                              {"why", f.why},
                              {"source", f.source.text},
                              {"confidence", validation::name_of(f.source.confidence)},
                              {"passed", f.passed()},
                              {"misses_goal", f.misses_goal()}});
    }
    for (const auto& table : o.report.tables) {
      j["tables"].push_back(
          {{"title", table.title}, {"columns", table.columns}, {"rows", table.rows}});
    }
    cases.push_back(j);
  }
  return cases;
}

void write_report(const std::string& folder, const std::vector<CaseOutcome>& outcomes, bool quiet) {
  const std::filesystem::path path(folder);
  const auto plots = validation::draw_plots(outcomes, path);
  const auto drawn = std::any_of(plots.begin(), plots.end(), [](const auto& of_case) {
    return std::any_of(of_case.begin(), of_case.end(), [](const auto& p) { return !p.empty(); });
  });
  if (!drawn && !quiet) {
    print_message("pulsewright: no plot could be drawn; is gnuplot installed?\n");
  }
  const auto page =
      validation::report_page({fmt::format("pulsewright {} ({})", program_version, program_commit),
                               fmt::format("{:%Y-%m-%d}", fmt::localtime(std::time(nullptr)))},
                              outcomes, plots);
  const auto file = path / "report.html";
  std::ofstream stream(file, std::ios::binary);
  stream << page;
  stream.flush();
  if (!stream) throw std::runtime_error("cannot write " + file.string());
  if (!quiet) print_message(fmt::format("report: {}\n", file.string()));
}

// Before minutes of work, not after them.
void make_folder(const std::string& folder) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) {
    throw UsageError(
        fmt::format("--output = '{}': cannot be made a folder: {}", folder, error.message()));
  }
}

void list_cases(const std::vector<const validation::CaseEntry*>& cases, bool as_json) {
  if (as_json) {
    auto list = nlohmann::json::array();
    for (const auto* entry : cases) {
      list.push_back({{"group", entry->group}, {"case", entry->name}, {"long", entry->is_long}});
    }
    fmt::print("{}\n", json_text(list));
    return;
  }
  for (const auto* entry : cases) {
    fmt::print("{}/{}{}\n", entry->group, entry->name, entry->is_long ? " long" : "");
  }
}

void validate(const ValidateOptions& options, int& exit_code) {
  const auto cases = chosen(options);
  if (options.list) return list_cases(cases, options.json);
  const validation::Broken broken = broken_part(options.broken);
  if (!options.folder.empty()) make_folder(options.folder);
  std::size_t done = 0;
  watch_interrupts();
  const auto outcomes =
      validation::run_cases(cases, options.jobs, interrupted(), broken, [&](const CaseOutcome& o) {
        ++done;
        if (options.quiet || options.json) return;
        print_message(fmt::format("{}/{} {}/{}: {}, {:.1f} s\n", done, cases.size(), o.entry->group,
                                  o.entry->name, o.passed() ? "pass" : "FAIL", o.seconds));
      });
  if (!options.folder.empty()) write_report(options.folder, outcomes, options.quiet);
  if (options.json) {
    fmt::print("{}\n", json_text(as_json(outcomes)));
  } else {
    print_table(outcomes);
  }
  const auto passed = std::count_if(outcomes.begin(), outcomes.end(),
                                    [](const CaseOutcome& o) { return o.passed(); });
  std::ptrdiff_t missed = 0;
  for (const auto& o : outcomes) {
    missed += std::count_if(o.report.figures.begin(), o.report.figures.end(),
                            [](const Figure& f) { return f.misses_goal(); });
  }
  if (!options.json) {
    fmt::print("{} of {} {}\n", passed, cases::counted(outcomes.size(), "case"),
               outcomes.size() == 1 ? "passes" : "pass");
    if (missed > 0) {
      fmt::print("{} {}\n", cases::counted(missed, "figure"),
                 missed == 1 ? "misses its goal" : "miss their goal");
    }
  }
  if (static_cast<std::size_t>(passed) != outcomes.size()) exit_code = exit_run_failed;
}

}  // namespace

void add_validate_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<ValidateOptions>();
  CLI::App* verb = app.add_subcommand(
      "validate", "Compare the program with textbooks and handbooks, with a report");
  verb->add_option("--group", options->group, "Only this group, e.g. waves")->type_name("NAME");
  verb->add_option("--case", options->name, "Only this case, e.g. sod or waves/sod")
      ->type_name("NAME");
  verb->add_flag("--long", options->also_long, "Also the cases that take minutes");
  verb->add_option("--broken", options->broken,
                   "Make a part deliberately wrong, so that its cases fail, e.g. end-reflection")
      ->type_name("PART");
  verb->add_flag("--list", options->list, "Print the names of the cases and run none");
  verb->add_option("-o,--output", options->folder, "Write report.html into this folder")
      ->type_name("FOLDER");
  verb->add_option("--jobs,-j", options->jobs, "Threads (default: all cores)")
      ->type_name("N")
      ->check(CLI::Range(1U, 1024U));
  verb->add_flag("--quiet,-q", options->quiet, "No progress and no remarks on stderr");
  verb->add_flag("--json", options->json, "Print JSON instead of text");
  verb->footer("Example: pulsewright validate --long -o validation-report");
  verb->callback([options, &exit_code] { validate(*options, exit_code); });
}

}  // namespace pulsewright::tools
