// Many operating points in one results file: whether the ten thousandth costs what the first did.
#include <filesystem>
#include <fstream>
#include <unistd.h>

#include "models/engine/point_simulation.hpp"
#include "tools/bench/bench.hpp"
#include "tools/results/results_store.hpp"
#include "tools/study/study.hpp"

namespace pulsewright::bench {

namespace {

constexpr std::size_t thousand = 1000;
constexpr std::size_t most_points = 10 * thousand;

// Resident memory of this process, kB.
double resident() {
  std::ifstream statm("/proc/self/statm");
  double whole = 0;
  double pages = 0;
  statm >> whole >> pages;
  return pages * static_cast<double>(sysconf(_SC_PAGESIZE)) / 1024;
}

// One header of the demo on two grids, at half as many speeds as points; every point holds the same
// numbers, those of a coarse run, on the finer grid with traces of 36 angles.
class FileOfPoints {
 public:
  FileOfPoints() : path_(std::filesystem::temp_directory_path() / name()) {
    cases::CaseFile case_file = demo();
    case_file.run.settings.trace_points = 36;
    case_file.run.wave_speeds.clear();
    tools::StudyOptions options;
    options.headers = {"equal-length"};
    options.quick = true;
    for (std::size_t i = 0; i < most_points / 2; ++i) {
      options.speeds.push_back(50 + 0.01 * static_cast<double>(i));
    }
    const tools::Study study(case_file, options);
    cases::BuildOptions build;
    build.cell_size = 0.08;
    models::PointSimulation run(cases::build_engine(case_file, case_file.headers.front(), build),
                                100, case_file.run.settings);
    with_traces_ = run.run();
    bare_ = with_traces_;
    bare_.traces.clear();
    bare_.tails.clear();
    bare_.probes.clear();
    store_ = tools::ResultsStore::create(path_, study.plan(), true);
  }
  ~FileOfPoints() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
  }
  FileOfPoints(const FileOfPoints&) = delete;
  FileOfPoints& operator=(const FileOfPoints&) = delete;

  void write(std::size_t i) {
    const auto& plan = store_->plan();
    const std::size_t grid = i % 2;
    models::PointResult& point = plan.headers[grid].traces ? with_traces_ : bare_;
    point.speed = plan.speeds[i / 2];
    store_->write(grid, i / 2, point, 0.0);
  }

 private:
  static std::string name() { return "pulsewright-store-" + std::to_string(getpid()) + ".h5"; }

  std::filesystem::path path_;
  models::PointResult with_traces_, bare_;
  std::unique_ptr<tools::ResultsStore> store_;
};

// The time of one point among the thousand up to that number, in a file that holds all before it if
// the benches run in turn. Repetitions replace points, which costs a sync more.
void points_in_one_file(benchmark::State& state) {
  static FileOfPoints file;
  auto i = static_cast<std::size_t>(state.range(0)) - thousand;
  while (state.KeepRunningBatch(thousand)) {
    for (std::size_t k = 0; k < thousand; ++k) file.write(i++);
  }
  state.counters["resident_kB"] = resident();
}
BENCHMARK(points_in_one_file)->DenseRange(thousand, most_points, thousand)->Iterations(thousand);

}  // namespace

}  // namespace pulsewright::bench
