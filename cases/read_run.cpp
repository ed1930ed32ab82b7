#include "cases/read_run.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/speed_range.hpp"

namespace pulsewright::cases {
namespace {

std::vector<double> speed_steps(Section& s, const SpeedRange& range) {
  if (!range.rises()) {
    s.problem("to", "is below from", "for example: from = \"3000 rpm\", to = \"7500 rpm\"");
    return {};
  }
  if (range.count() > most_speeds) {
    s.problem("step", fmt::format("makes more than {} speeds", most_speeds), "make it larger");
    return {};
  }
  return range.speeds();
}

std::vector<double> read_speeds(Section& s, Problems& problems) {
  const double from = s.quantity("from");
  const double to = s.quantity("to");
  const double step = s.quantity("step");
  std::vector<double> listed = s.quantities("speeds");
  const bool range = s.has("from") || s.has("to") || s.has("step");
  if (range && s.has("speeds")) {
    s.problem("speeds", "is given beside from, to and step", "keep one of the two");
    return {};
  }
  if (s.has("speeds")) {
    for (std::size_t i = 1; i < listed.size(); ++i) {
      if (problems.any()) break;
      if (!(listed[i] > listed[i - 1]) || same_speed(listed[i], listed[i - 1])) {
        s.problem("speeds", "does not rise from one speed to the next",
                  "for example: speeds = [\"4000 rpm\", \"5000 rpm\"]");
      }
    }
    if (listed.size() > most_speeds) {
      s.problem("speeds", fmt::format("has more than {} speeds", most_speeds), "shorten it");
    }
    return listed;
  }
  for (const std::string_view key : {"from", "to", "step"}) {
    if (!s.has(key)) {
      s.problem(key, "is missing",
                "for example: from = \"3000 rpm\", to = \"7500 rpm\", step = \"250 rpm\"");
    }
  }
  return problems.any() ? std::vector<double>{} : speed_steps(s, {from, to, step});
}

void check_wave_speeds(Section& s, const Run& run) {
  for (auto speed = run.wave_speeds.begin(); speed != run.wave_speeds.end(); ++speed) {
    const auto is_it = [&](double other) { return same_speed(*speed, other); };
    if (std::none_of(run.speeds.begin(), run.speeds.end(), is_it)) {
      s.problem("wave_speeds", fmt::format("names {:.6g} rpm, which is not run", *speed * 60),
                "name speeds that from, to and step (or speeds) give");
    } else if (std::any_of(run.wave_speeds.begin(), speed, is_it)) {
      s.problem("wave_speeds", fmt::format("names {:.6g} rpm twice", *speed * 60), "name it once");
    }
  }
}

void read_engine_speeds(Section& s, Problems& problems, const CaseFile& case_file, Run& run) {
  run.speeds = read_speeds(s, problems);
  run.band_from = s.quantity("band_from");
  run.band_to = s.quantity("band_to");
  run.wave_speeds = s.quantities("wave_speeds");
  const int wave_cylinder = s.integer("wave_cylinder");
  run.settings.wave_cylinder = wave_cylinder - 1;
  s.quantity("duration");
  if (s.has("duration")) {
    s.problem("duration", "belongs to a case of pipes only", "remove it; cycles end a run");
  }
  if (problems.any() || run.speeds.empty()) return;
  if (!s.has("band_from")) run.band_from = run.speeds.front();
  if (!s.has("band_to")) run.band_to = run.speeds.back();
  if (!(run.band_from <= run.band_to)) {
    if (s.has("band_to")) {
      s.problem("band_to", "is below band_from, or below the lowest speed", "let the band rise");
    } else {
      s.problem("band_from", "is above the highest speed", "begin the band below it");
    }
    return;
  }
  const double slack = 1e-9 * run.speeds.back();
  const bool overlaps = std::any_of(run.speeds.begin(), run.speeds.end(), [&](double speed) {
    return speed >= run.band_from - slack && speed <= run.band_to + slack;
  });
  if (!overlaps) {
    s.problem(s.has("band_from") ? "band_from" : "band_to",
              "makes a band without any of the speeds",
              "let the band hold at least one of the speeds of this table");
  }
  check_wave_speeds(s, run);
  if (wave_cylinder > static_cast<int>(case_file.engine.firing_order.size())) {
    s.problem("wave_cylinder", "is no cylinder of this engine",
              fmt::format("give 1 to {}", case_file.engine.firing_order.size()));
  }
}

void read_pipe_run(Section& s, Run& run) {
  run.duration = s.quantity("duration");
  if (!s.has("duration")) {
    s.problem("duration", "is missing; a case without an engine needs it",
              "for example: duration = \"5 ms\", or describe the engine under [engine]");
  }
  for (const std::string_view key : {"from", "to", "step", "band_from", "band_to"}) {
    s.quantity(key);
    if (s.has(key)) s.problem(key, "needs an engine, and the case has none", "remove it");
  }
  for (const std::string_view key : {"speeds", "wave_speeds"}) {
    s.quantities(key);
    if (s.has(key)) s.problem(key, "needs an engine, and the case has none", "remove it");
  }
  s.integer("wave_cylinder");
}

}  // namespace

Run read_run(Section s, Problems& problems, const CaseFile& case_file, bool engine) {
  Run run;
  run.cell_size = s.quantity("cell_size");
  run.settings.courant = s.number("courant");
  run.settings.method = s.enumerator<models::Method>("method");
  run.settings.same_parts = s.enumerator<models::SameParts>("same_parts");
  run.settings.tolerance = s.number("tolerance");
  run.settings.least_cycles = s.integer("least_cycles");
  run.settings.most_cycles = s.integer("most_cycles");
  run.added_speeds = s.integer("added_speeds");
  run.settings.trace_points = s.integer("trace_points");
  run.settings.wave_angles = s.integer("wave_angles");
  if (run.settings.least_cycles > run.settings.most_cycles) {
    s.problem("most_cycles", "is less than least_cycles", "make it larger");
  }
  if (engine) {
    read_engine_speeds(s, problems, case_file, run);
  } else {
    read_pipe_run(s, run);
  }
  s.finish();
  return run;
}

}  // namespace pulsewright::cases
