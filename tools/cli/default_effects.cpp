#include "tools/cli/default_effects.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <thread>

#include "cases/case_reader.hpp"
#include "models/engine/point_simulation.hpp"
#include "tools/study/run_list.hpp"

namespace pulsewright::tools {

namespace {

constexpr int most_cycles = 30;

double torque_of(const cases::CaseFile& case_file, double speed, const std::atomic<bool>& stop) {
  cases::BuildOptions build;
  build.cell_size = coarse_grid_ratio * case_file.run.cell_size;
  models::RunSettings settings = case_file.run.settings;
  settings.most_cycles = std::min(settings.most_cycles, most_cycles);
  settings.least_cycles = std::min(settings.least_cycles, settings.most_cycles);
  settings.second_pattern = false;
  settings.store_traces = false;
  return models::PointSimulation(cases::build_engine(case_file, case_file.headers.front(), build),
                                 speed, settings)
      .run([&] { return !stop; })
      .torque;
}

// With one key changed; none if that cannot be read or run.
std::optional<double> torque_with(const cases::CaseFile& case_file, const cases::Override& changed,
                                  double speed, const std::atomic<bool>& stop) {
  try {
    const double torque = torque_of(cases::read_case_text(case_file.text, case_file.file_name,
                                                          cases::MessageUnits::metric, {changed}),
                                    speed, stop);
    return stop ? std::nullopt : std::optional<double>(torque);
  } catch (const std::exception&) {
    return std::nullopt;
  }
}

struct Task {
  std::size_t effect;
  std::optional<double> DefaultEffect::*end;
  cases::Override changed;
};

}  // namespace

double DefaultEffect::size() const {
  return std::max(std::abs(at_least.value_or(0)), std::abs(at_greatest.value_or(0)));
}

DefaultEffects default_effects(const cases::CaseFile& case_file, const std::atomic<bool>& stop) {
  DefaultEffects out;
  out.header = case_file.headers.front().name;
  out.speed = (case_file.run.band_from + case_file.run.band_to) / 2;
  std::vector<Task> tasks;
  for (std::size_t i = 0; i < case_file.assumptions.size(); ++i) {
    const cases::Assumption& one = case_file.assumptions[i];
    out.effects.push_back({i, {}, {}});
    const auto add = [&](const std::string& value, std::optional<double> DefaultEffect::*end) {
      if (value.empty()) return;
      if (value == one.value) {
        out.effects.back().*end = 0;
      } else {
        tasks.push_back({i, end, {one.key, value}});
      }
    };
    add(one.least, &DefaultEffect::at_least);
    add(one.greatest, &DefaultEffect::at_greatest);
  }
  const double base = torque_of(case_file, out.speed, stop);
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < tasks.size() && !stop; i = next++) {
      const auto torque = torque_with(case_file, tasks[i].changed, out.speed, stop);
      if (torque) out.effects[tasks[i].effect].*tasks[i].end = *torque / base - 1;
    }
  };
  std::vector<std::thread> threads;
  for (unsigned i = 1; i < std::thread::hardware_concurrency(); ++i) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  std::stable_sort(
      out.effects.begin(), out.effects.end(),
      [](const DefaultEffect& a, const DefaultEffect& b) { return a.size() > b.size(); });
  return out;
}

}  // namespace pulsewright::tools
