// Whole operating points, and a whole comparison on one and on all cores.
#include <atomic>
#include <filesystem>
#include <memory>
#include <thread>
#include <unistd.h>

#include "models/engine/point_batch.hpp"
#include "tools/bench/bench.hpp"
#include "tools/results/results_store.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::bench {

namespace {

// Every part is computed, so that the cells that are counted are those that were stepped.
models::RunSettings every_part() {
  models::RunSettings settings = demo().run.settings;
  settings.same_parts = models::SameParts::each;
  return settings;
}

double updates_of(const models::PointResult& r) { return static_cast<double>(r.steps) * r.cells; }

// The demo engine with equal tubes at 6000 rpm, ends and bookkeeping included; cells in mm.
void operating_point(benchmark::State& state) {
  cases::BuildOptions build;
  build.cell_size = 1e-3 * static_cast<double>(state.range(0));
  const auto engine = cases::build_engine(demo(), demo().headers.front(), build);
  double updates = 0;
  for (auto _ : state) {
    models::PointSimulation run(engine, 100.0, every_part());
    updates += updates_of(run.run());
  }
  count_cells(state, updates);
}
BENCHMARK(operating_point)->Arg(30)->Arg(10)->Unit(benchmark::kMillisecond);

// The same engine at sixteen speeds from 5000 rpm on, in one batch.
void point_batch(benchmark::State& state) {
  cases::BuildOptions build;
  build.cell_size = 1e-3 * static_cast<double>(state.range(0));
  const auto engine = cases::build_engine(demo(), demo().headers.front(), build);
  double updates = 0;
  for (auto _ : state) {
    std::vector<std::unique_ptr<models::PointSimulation>> runs;
    models::PointBatch batch;
    batch.run(
        [&]() -> models::PointSimulation* {
          if (runs.size() == 16) return nullptr;
          const double rpm = 5000.0 + 100.0 * static_cast<double>(runs.size());
          runs.push_back(std::make_unique<models::PointSimulation>(engine, rpm / 60, every_part()));
          return runs.back().get();
        },
        [&](models::PointSimulation& run, const models::PointBatch::End&) {
          updates += updates_of(run.result());
        });
  }
  count_cells(state, updates);
}
BENCHMARK(point_batch)->Arg(30)->Arg(10)->Unit(benchmark::kMillisecond);

// Two headers at four speeds on cells of 20 mm with all variants, written to a results file.
void comparison(benchmark::State& state) {
  tools::StudyOptions options;
  options.headers = {"equal-length", "180-degree"};
  options.speeds = {75, 87.5, 100, 112.5};
  options.cell_size = 0.020;
  cases::CaseFile case_file = demo();
  case_file.run.settings = every_part();
  const tools::Study study(case_file, options);
  const auto file = std::filesystem::temp_directory_path() /
                    ("pulsewright-bench-" + std::to_string(getpid()) + ".h5");
  double updates = 0;
  for (auto _ : state) {
    const auto store = tools::ResultsStore::create(file, study.plan(), true);
    const std::atomic<bool> stop{false};
    tools::run_study(
        study, static_cast<unsigned>(state.range(0)), stop,
        [](std::size_t, std::size_t) { return true; },
        [&](const tools::PointOutcome& o) {
          store->write(o.header_index, o.speed_index, *o.result, o.seconds);
          updates += updates_of(*o.result);
        },
        [](std::size_t, std::size_t) {});
  }
  std::filesystem::remove(file);
  count_cells(state, updates);
}
BENCHMARK(comparison)
    ->Arg(1)
    ->Arg(static_cast<int>(std::max(1U, std::thread::hardware_concurrency())))
    ->Unit(benchmark::kMillisecond)
    ->Repetitions(3)  // seconds each, so that the library would time but one
    ->UseRealTime();

}  // namespace

}  // namespace pulsewright::bench
