#include "tools/cli/sound_command.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"
#include "models/engine/run_fault.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/listen/audio.hpp"
#include "tools/listen/heard_headers.hpp"
#include "tools/listen/sound_file.hpp"
#include "tools/listen/sound_text.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/study/point_fault.hpp"
#include "tools/study/study.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

namespace {

struct SoundOptions {
  CommonOptions common;
  std::string input;
  std::optional<std::string> output, csv, speed, cell_size;
  std::vector<std::string> headers, speeds, microphone;
  double seconds = 8;
  int bits = 24;
  std::optional<unsigned> jobs;
};

// A WAV file is replaced, and nothing else that happens to have the name.
void require_wave_place(const std::string& path) {
  if (path.empty()) throw UsageError("-o '': name a file for the sound");
  if (std::filesystem::exists(path)) {
    std::string start(4, '\0');
    std::ifstream(path, std::ios::binary).read(start.data(), std::ssize(start));
    if (start != "RIFF") {
      throw UsageError(fmt::format("-o '{}' exists and is no WAV file; name another file", path));
    }
  }
  require_writable("-o", path, Writing::beside);
}

// Where the case says, or where --microphone does.
models::ListeningSpecification listening_of(const SoundOptions& options,
                                            const cases::CaseFile& case_file) {
  models::ListeningSpecification listening = case_file.sound;
  if (options.microphone.empty()) return listening;
  const auto refused = [](std::string_view why) {
    return UsageError(
        fmt::format("--microphone: {}; x, y and z with their units, for example --microphone "
                    "\"5.3 m,5.3 m,0.9 m\"",
                    why));
  };
  if (options.microphone.size() != 3) throw refused("is not a place");
  Eigen::Vector3d place;
  for (int i = 0; i < 3; ++i) {
    try {
      place[i] = cases::parse_quantity(options.microphone[static_cast<std::size_t>(i)],
                                       cases::Dimension::length);
    } catch (const cases::QuantityError& error) {
      throw refused(error.what());
    }
  }
  listening.microphone = place;
  return listening;
}

// What cannot be heard for lack of something in the input.
HeardHeaders heard_or_usage(const cases::CaseFile& case_file, const SoundOptions& options,
                            const std::vector<double>& speeds,
                            const std::vector<HeaderToHear>& headers) {
  try {
    return hear(case_file, listening_of(options, case_file), speeds, headers);
  } catch (const std::invalid_argument& error) {
    throw UsageError(fmt::format("{}: {}", options.input, error.what()));
  }
}

HeardHeaders hear_results(const SoundOptions& options, int& exit_code) {
  if (!options.speeds.empty() || options.cell_size || options.jobs) {
    throw UsageError(
        "--speeds, --cells and --jobs are for a case that is simulated; a results file has its "
        "own");
  }
  const StudyResults results(ResultsReader(options.input), ResultsReader::Detail::all);
  for (const std::string& damage : results.damages()) {
    print_message(
        fmt::format("pulsewright: {}: {}; the point is left out\n", options.input, damage));
    exit_code = exit_run_failed;
  }
  const auto case_file = case_of(results.plan());
  if (!case_file) {
    throw UsageError(
        fmt::format("{}: this version refuses the case in the results; make them anew with "
                    "`pulsewright compare`",
                    options.input));
  }
  std::vector<HeaderToHear> headers = headers_of(results);
  if (!options.headers.empty()) {
    std::vector<HeaderToHear> chosen;
    for (const std::string& name : options.headers) {
      const auto found = std::find_if(headers.begin(), headers.end(),
                                      [&](const HeaderToHear& h) { return h.name == name; });
      if (found == headers.end()) {
        throw UsageError(fmt::format("--headers: '{}' is not among the headers of {}",
                                     cases::shortened(name), options.input));
      }
      chosen.push_back(*found);
    }
    headers = chosen;
  }
  return heard_or_usage(*case_file, options, results.plan().speeds, headers);
}

// The points of a case, by header and speed.
using ComputedPoints = std::vector<std::vector<StoredPoint>>;

void keep_point(const Study& study, const PointOutcome& outcome, ComputedPoints& points) {
  for (std::size_t h = 0; h < study.headers(); ++h) {
    if (outcome.header_index != study.plan_index(h, 0)) continue;
    StoredPoint& point = points[h][outcome.speed_index];
    point.seconds = outcome.seconds;
    point.failure = outcome.failure;
    point.status = PointStatus::failed;
    if (outcome.result == nullptr) return;
    point.status = outcome.result->converged ? PointStatus::converged : PointStatus::not_converged;
    point.result = *outcome.result;
  }
}

// Before long work: what would be refused when the points are there.
void require_sound(const cases::CaseFile& case_file, const SoundOptions& options,
                   const Study& study, const std::optional<double>& steady) {
  const models::ListeningSpecification listening = listening_of(options, case_file);
  const std::vector<double>& speeds = study.plan().speeds;
  try {
    for (std::size_t h = 0; h < study.headers(); ++h) {
      const HeaderPlan& plan = study.plan().headers[study.plan_index(h, 0)];
      require_place(case_file, listening, plan.name, plan.cell_size);
    }
    if (steady) {
      require_heard_speed(*steady, speeds.front(), speeds.back());
    } else if (options.output) {
      require_pull(speeds.front(), speeds.back());
    }
  } catch (const std::invalid_argument& error) {
    throw UsageError(fmt::format("{}: {}", options.input, error.what()));
  }
}

HeardHeaders hear_case(const SoundOptions& options, const std::optional<double>& steady,
                       int& exit_code) {
  const cases::CaseFile case_file =
      cases::read_case_file(options.input, options.common.message_units());
  if (!case_file.has_engine()) {
    throw UsageError(
        fmt::format("{}: the case has pipes only, no engine to listen to", options.input));
  }
  mention_remarks(case_file, options.common.quiet);
  StudyOptions chosen;
  chosen.headers = options.headers;
  chosen.speeds = speeds_option("--speeds", options.speeds);
  if (options.cell_size)
    chosen.cell_size = cells_option(*options.cell_size, options.common.message_units());
  chosen.quick = true;
  const Study study(case_file, chosen);
  require_sound(case_file, options, study, steady);
  ComputedPoints points(study.headers(), std::vector<StoredPoint>(study.speeds()));
  const auto work_of = [&](std::size_t speed) { return 1.0 / study.plan().speeds[speed]; };
  double work = 0;
  for (std::size_t s = 0; s < study.speeds(); ++s)
    work += work_of(s) * static_cast<double>(study.headers());
  watch_interrupts();
  {
    Progress progress(study.headers() * study.speeds(), work, options.common.quiet);
    const QueueReport report = run_study(
        study, std::max(1U, options.jobs.value_or(all_cores())), interrupted(),
        [](std::size_t, std::size_t) { return true; },
        [&](const PointOutcome& outcome) { keep_point(study, outcome, points); },
        [&](std::size_t, std::size_t speed) { progress.part_done(work_of(speed)); });
    if (report.stopped)
      throw models::RunFault("stopped; `pulsewright compare` keeps what is finished");
  }
  end_at_interrupts();
  std::vector<HeaderToHear> headers;
  for (std::size_t h = 0; h < study.headers(); ++h) {
    const HeaderPlan& plan = study.plan().headers[study.plan_index(h, 0)];
    headers.push_back({plan.name, plan.cell_size, &points[h]});
    for (const StoredPoint& point : points[h]) {
      if (fault_of(point)) exit_code = exit_run_failed;
    }
  }
  return heard_or_usage(case_file, options, study.plan().speeds, headers);
}

// What the headers have no sound for.
Audio audio_or_usage(const HeardHeaders& heard, const SoundOptions& options,
                     const std::optional<double>& steady) {
  try {
    if (steady) require_heard_speed(heard, *steady);
    if (!options.output) return {};
    return audio_of(heard, {.steady = steady, .seconds = options.seconds});
  } catch (const std::invalid_argument& error) {
    throw UsageError(error.what());
  }
}

std::string wave_words(const Audio& audio, const HeardHeaders& heard, const SoundOptions& options) {
  std::string names;
  for (const HeardHeader& header : heard.headers)
    names += (names.empty() ? "" : ", ") + header.name;
  const std::string range =
      audio.from < audio.to ? fmt::format("{:.0f} to {:.0f} rpm", 60 * audio.from, 60 * audio.to)
                            : fmt::format("{:.0f} rpm", 60 * audio.from);
  return fmt::format("{}: {}, {:.3g} s each, {}; full scale = {:.1f} Pa", *options.output, names,
                     options.seconds, range, audio.full_scale);
}

void sound(const SoundOptions& options, int& exit_code) {
  std::error_code error;
  if (!std::filesystem::exists(options.input, error) ||
      std::filesystem::is_directory(options.input, error)) {
    throw UsageError(
        fmt::format("there is no file '{}'; name a results file or a case file", options.input));
  }
  const std::optional<double> steady =
      options.speed ? std::optional(speed_option("--speed", *options.speed)) : std::nullopt;
  if (options.output) require_wave_place(*options.output);
  if (options.csv) require_writable("--csv", *options.csv, Writing::in_place);
  const HeardHeaders heard = looks_like_results(options.input)
                                 ? hear_results(options, exit_code)
                                 : hear_case(options, steady, exit_code);
  const Audio audio = audio_or_usage(heard, options, steady);
  nlohmann::json out = sound_json(heard);
  if (options.output) {
    const std::string words = wave_words(audio, heard, options);
    const SoundFormat format{static_cast<int>(std::lround(audio.sample_rate)), options.bits};
    write_wave(*options.output, one_after_another(audio), format, words);
    out["wave"] = {{"file", *options.output},
                   {"sample_rate_hz", format.sample_rate},
                   {"bits", format.bits},
                   {"full_scale_pa", audio.full_scale},
                   {"from_rpm", 60 * audio.from},
                   {"to_rpm", 60 * audio.to},
                   {"seconds_each", options.seconds}};
    if (!options.common.quiet) print_message(words + "\n");
  }
  if (options.csv) write_text("--csv", *options.csv, sound_csv(heard));
  const double middle = 0.5 * (heard.band_from + heard.band_to);
  fmt::print("{}\n", options.common.json
                         ? json_text(out)
                         : sound_text(heard, steady.value_or(middle), options.common.units));
}

}  // namespace

void add_sound_command(CLI::App& app, int& exit_code) {
  auto options = std::make_shared<SoundOptions>();
  CLI::App* verb = app.add_subcommand(
      "sound", "Sound of the exhaust at a microphone: levels, orders, a WAV file");
  verb->add_option("input", options->input,
                   "Results file of `compare`, or a case file, which is then simulated")
      ->required()
      ->type_name("FILE");
  verb->add_option("-o,--output", options->output,
                   "WAV file: every header in a pull through the speeds, one after another, at one "
                   "common gain")
      ->type_name("FILE");
  verb->add_option(
          "--speed", options->speed,
          "A steady speed in place of the pull, e.g. 6000; also that of the table of orders")
      ->type_name("RPM");
  verb->add_option("--seconds", options->seconds, "Duration of each header in the WAV file")
      ->capture_default_str()
      ->type_name("S")
      ->check(CLI::Range(0.5, 600.0));
  verb->add_option("--bits", options->bits, "Bits of a sample: 16 or 24")
      ->capture_default_str()
      ->type_name("16|24")
      ->check(CLI::IsMember({16, 24}));
  verb->add_option("--csv", options->csv, "Also write levels and orders as a table (CSV)")
      ->type_name("FILE");
  add_list_option(*verb, "--headers", options->headers, "NAME,...", "Only these headers");
  add_list_option(
      *verb, "--microphone", options->microphone, "X,Y,Z",
      "Place of the microphone with units, e.g. \"5.3 m,5.3 m,0.9 m\" (default: that of the "
      "case)");
  add_list_option(*verb, "--speeds", options->speeds, "RPM,...",
                  "Of a case: only these speeds, also ranges, e.g. 3000-5000:250");
  verb->add_option("--cells", options->cell_size,
                   "Of a case: cell size, e.g. \"5 mm\" (default: that of the case)")
      ->type_name("LENGTH");
  verb->add_option("--jobs,-j", options->jobs,
                   "Of a case: threads that compute (default: all cores)")
      ->check(CLI::Range(1, 1024));
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright sound results.h5 -o pull.wav");
  verb->callback([options, &exit_code] { sound(*options, exit_code); });
}

}  // namespace pulsewright::tools
