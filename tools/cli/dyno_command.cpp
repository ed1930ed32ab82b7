#include "tools/cli/dyno_command.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "cases/parameters.hpp"
#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/dyno/calibration_text.hpp"
#include "tools/dyno/dyno_text.hpp"
#include "tools/results/structure_checksums.hpp"

namespace pulsewright::tools {

namespace {

struct DynoOptions {
  CommonOptions common;
  std::string file;
  std::optional<std::string> folder, csv, output, cell_size, correct_to;
  std::vector<std::string> speeds, knobs, held_out, fitted;
  std::optional<unsigned> jobs;
  bool calibrate = false;
};

void require_engine_and_pulls(const cases::CaseFile& case_file, const std::string& file) {
  if (!case_file.has_engine()) {
    throw UsageError(fmt::format("{}: the case has pipes only, no engine", file));
  }
  if (case_file.dyno.empty()) {
    throw UsageError(
        fmt::format("{}: the case names no measured pulls; describe them in a table [[dyno]], see "
                    "`pulsewright check --manual`",
                    file));
  }
}

models::PowerCorrection correction_option(const DynoOptions& options) {
  if (!options.correct_to) return models::PowerCorrection::none;
  const cases::Parameter& key = *cases::find_parameter("dyno", "correction");
  const auto index = cases::choice_index(key, *options.correct_to);
  if (!index) {
    throw UsageError(fmt::format("--correct-to = '{}': allowed is {}",
                                 cases::shortened(*options.correct_to), cases::allowed_text(key)));
  }
  return static_cast<models::PowerCorrection>(*index);
}

std::filesystem::path folder_of(const DynoOptions& options, const std::string& case_file) {
  return options.folder ? std::filesystem::path(*options.folder)
                        : std::filesystem::path(case_file).parent_path();
}

// Whether a prediction does not count.
bool has_fault(const DynoResult& result) {
  return std::any_of(result.curves.begin(), result.curves.end(), [](const DynoCurve& curve) {
    return std::any_of(curve.torque.begin(), curve.torque.end(),
                       [](const DynoPoint& point) { return !point.fault.empty(); });
  });
}

void print(const DynoOptions& options, const DynoResult& result, const Calibration* calibration,
           int& exit_code) {
  if (has_fault(result)) exit_code = exit_run_failed;
  if (options.csv) {
    write_text("--csv", *options.csv, dyno_csv(result, options.common.units));
  }
  if (options.common.json) {
    nlohmann::json j = dyno_json(result);
    if (calibration) j["calibration"] = calibration_json(*calibration);
    fmt::print("{}\n", json_text(j));
    return;
  }
  if (calibration) fmt::print("{}\n", calibration_text(*calibration, options.common.units));
  fmt::print("{}\n", dyno_text(result, options.common.units));
}

void compare_stored(const DynoOptions& options, int& exit_code) {
  if (options.calibrate || options.cell_size || !options.speeds.empty()) {
    throw UsageError("--calibrate, --cells and --speeds simulate: give the case file, not results");
  }
  const StudyResults results(ResultsReader(options.file), ResultsReader::Detail::figures);
  const auto result = measured_over_results(results, folder_of(options, results.plan().case_file),
                                            correction_option(options));
  if (!result) {
    throw UsageError(
        fmt::format("{}: the case in it names no measured pulls; describe them in a "
                    "table [[dyno]] and compare once more, or add them with --resume",
                    options.file));
  }
  print(options, *result, nullptr, exit_code);
}

std::vector<double> speeds_of_case(const DynoOptions& options, const cases::CaseFile& case_file) {
  std::vector<double> speeds = speeds_option("--speeds", options.speeds);
  if (speeds.empty()) return case_file.run.speeds;
  std::sort(speeds.begin(), speeds.end());
  return speeds;
}

Calibration run_calibration(const DynoOptions& options, const cases::CaseFile& case_file,
                            const std::vector<MeasuredHeader>& measured,
                            const std::vector<double>& speeds, double cell_size) {
  CalibrationOptions chosen;
  chosen.knobs = chosen_knobs(options.knobs);
  chosen.speeds = speeds;
  chosen.held_out = speeds_option("--hold-out", options.held_out);
  chosen.headers = options.fitted;
  chosen.cell_size = cell_size;
  chosen.jobs = options.jobs.value_or(all_cores());
  chosen.keep_going = [] { return !interrupted(); };
  if (!options.common.quiet) {
    chosen.progress = [](double deviation) {
      print_message(fmt::format("torque {:.2f} % off (root mean square)\n", 100 * deviation));
    };
  }
  return calibrate(case_file, measured, chosen);
}

void require_options(const DynoOptions& options) {
  if (options.csv) require_writable("--csv", *options.csv, Writing::in_place);
  if (!options.calibrate) {
    if (options.output || !options.knobs.empty() || !options.held_out.empty() ||
        !options.fitted.empty()) {
      throw UsageError("-o, --knobs, --hold-out and --fit go with --calibrate");
    }
    return;
  }
  if (!options.output) {
    throw UsageError(
        "--calibrate: name a file for the calibrated case, for example -o fitted.toml");
  }
  refuse_existing("dyno", *options.output);
  require_writable("-o", *options.output, Writing::beside);
}

void compare_simulated(const DynoOptions& options, int& exit_code) {
  const cases::CaseFile case_file =
      cases::read_case_file(options.file, options.common.message_units());
  require_engine_and_pulls(case_file, options.file);
  mention_remarks(case_file, options.common.quiet);
  const auto speeds = speeds_of_case(options, case_file);
  const double cell_size =
      options.cell_size ? cells_option(*options.cell_size, options.common.message_units()) : 0;
  const auto correction = correction_option(options);
  const auto measured = read_measured(case_file, folder_of(options, options.file), speeds);
  watch_interrupts();
  std::optional<Calibration> calibration;
  cases::CaseFile shown = case_file;
  if (options.calibrate) {
    calibration = run_calibration(options, case_file, measured, speeds, cell_size);
    const std::string text = calibrated_case(case_file, measured, *calibration);
    write_new(*options.output, text);
    shown = cases::read_case_text(text, *options.output, options.common.message_units());
    if (!options.common.quiet) {
      print_message(fmt::format("The calibrated case is in {}\n", *options.output));
    }
  }
  const std::size_t points = shown.dyno.size() * speeds.size();
  Progress progress(points, static_cast<double>(points), options.common.quiet);
  const Prediction prediction = simulated_prediction(
      shown, speeds, cell_size, options.jobs.value_or(all_cores()), [] { return !interrupted(); },
      [&] { progress.part_done(1); });
  print(options, compare_measured(shown, measured, prediction, {}, correction),
        calibration ? &*calibration : nullptr, exit_code);
}

void dyno(const DynoOptions& options, int& exit_code) {
  require_options(options);
  if (looks_like_results(options.file)) {
    compare_stored(options, exit_code);
  } else {
    compare_simulated(options, exit_code);
  }
}

}  // namespace

void add_dyno_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<DynoOptions>();
  CLI::App* verb =
      app.add_subcommand("dyno", "Measured pulls over the prediction, and calibration to them");
  verb->add_option("file", options->file,
                   "Case file with [[dyno]] (TOML), which is simulated, or a results file of it, "
                   "which has intervals")
      ->required()
      ->type_name("FILE");
  verb->add_option("--pulls", options->folder,
                   "Folder of the files of pulls (default: that of the case file)")
      ->type_name("FOLDER");
  verb->add_option("--correct-to", options->correct_to,
                   "Show torque as this standard corrects it (default: in the air of the case)")
      ->type_name(fmt::format(
          "{}", fmt::join(cases::choices_of(*cases::find_parameter("dyno", "correction")), "|")));
  verb->add_option("--csv", options->csv, "Also write a table (CSV)")->type_name("FILE");
  add_list_option(
      *verb, "--speeds", options->speeds, "RPM,...",
      "Only these speeds, also ranges, e.g. 3000-5000:250 (default: those of the case)");
  verb->add_option("--cells", options->cell_size,
                   "Cell size, e.g. \"5 mm\" (default: that of the case)")
      ->type_name("LENGTH");
  verb->add_flag("--calibrate", options->calibrate,
                 "Fit knobs of the case to the pulls and write a case with them; -o names it");
  add_list_option(*verb, "--knobs", options->knobs, "NAME,...",
                  fmt::format("Fit these: {}", fmt::join(
                                                   [] {
                                                     std::vector<std::string> names;
                                                     for (const Knob& knob : knobs())
                                                       names.emplace_back(knob.name);
                                                     return names;
                                                   }(),
                                                   ", ")));
  add_list_option(*verb, "--hold-out", options->held_out, "RPM,...",
                  "Speeds that the fit does not see, to be predicted by what it finds");
  add_list_option(*verb, "--fit", options->fitted, "NAME,...",
                  "Fit to the pulls of these headers, and predict the others (default: all)");
  verb->add_option("-o,--output", options->output, "File for the calibrated case")
      ->type_name("FILE");
  verb->add_option("--jobs,-j", options->jobs, "Threads that compute (default: all cores)")
      ->check(CLI::Range(1, 1024));
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright dyno cases/dyno-single.toml --correct-to sae-j1349");
  verb->callback([options, &exit_code] { dyno(*options, exit_code); });
}

}  // namespace pulsewright::tools
