// Many operating points in one results file: whether the ten thousandth costs what the first did.
#include <filesystem>
#include <fstream>
#include <unistd.h>

#include "models/engine_run.hpp"
#include "tools/bench/bench.hpp"
#include "tools/results/results_store.hpp"
#include "tools/study/study.hpp"

namespace pulsewright::bench {

namespace {

// Resident memory of this process, kB.
double resident() {
  std::ifstream statm("/proc/self/statm");
  double whole = 0;
  double pages = 0;
  statm >> whole >> pages;
  return pages * static_cast<double>(sysconf(_SC_PAGESIZE)) / 1024;
}

// One header of the demo on two grids, at half as many speeds as points; every point holds the same
// numbers, those of the finer grid with traces of 36 angles.
void points_in_one_file(benchmark::State& state) {
  cases::Case a_case = demo();
  a_case.run.settings.trace_points = 36;
  a_case.run.wave_speeds.clear();
  tools::StudyOptions options;
  options.concepts = {"equal"};
  options.quick = true;
  for (long i = 0; i < state.range(0) / 2; ++i) {
    options.speeds.push_back(50 + 0.01 * static_cast<double>(i));
  }
  const tools::Study study(a_case, options);
  cases::BuildOptions build;
  build.cell_size = 0.08;
  models::EngineRun run(cases::build_engine(a_case, a_case.concepts.front(), build), 100,
                        a_case.run.settings);
  models::PointResult result = run.run();
  models::PointResult bare = result;
  bare.traces.clear();
  bare.tails.clear();
  const auto file = std::filesystem::temp_directory_path() /
                    ("pulsewright-store-" + std::to_string(getpid()) + ".h5");
  double points = 0;
  double growth = 0;
  for (auto _ : state) {
    const auto store = tools::ResultsStore::create(file, study.plan(), true);
    const double before = resident();
    for (std::size_t s = 0; s < study.speeds(); ++s) {
      for (std::size_t c = 0; c < study.plan().concepts.size(); ++c) {
        models::PointResult& point = study.plan().concepts[c].traces ? result : bare;
        point.speed = study.plan().speeds[s];
        store->write(c, s, point, 0.0);
        ++points;
      }
    }
    growth = resident() - before;
  }
  std::filesystem::remove(file);
  state.counters["points"] = benchmark::Counter(points, benchmark::Counter::kIsRate);
  state.counters["memory_growth_kB"] = growth;
}
BENCHMARK(points_in_one_file)->Arg(1000)->Arg(10000)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace

}  // namespace pulsewright::bench
