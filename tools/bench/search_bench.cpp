// What a search costs, as `tune` and `sweep` evaluate it, and a comparison with all that its
// verdict needs, with parts that are the same computed once and each.
//
// The ratios to the reference kernel are the goals of the README; only figures of one run of the
// bench are compared with each other.
#include <atomic>
#include <filesystem>
#include <unistd.h>
#include <vector>

#include "tools/bench/bench.hpp"
#include "tools/results/results_store.hpp"
#include "tools/search/design_evaluator.hpp"
#include "tools/search/search_task.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::bench {

namespace {

constexpr double search_cells = 0.030;  // m

// The demo with a setting that its file leaves out.
cases::CaseFile demo_with(models::SameParts same_parts) {
  cases::CaseFile changed = demo();
  changed.run.settings.same_parts = same_parts;
  return changed;
}

const cases::HeaderDesign& equal_length() { return cases::find_header(demo(), "equal-length"); }

// Ten speeds of the demo's band.
std::vector<double> ten_speeds() {
  std::vector<double> speeds;
  for (int i = 0; i < 10; ++i) {
    speeds.push_back(demo().run.band_from +
                     (demo().run.band_to - demo().run.band_from) * static_cast<double>(i) / 9.0);
  }
  return speeds;
}

// On so many threads; the grid and the convergence of `tune`.
tools::EvaluatorOptions options(unsigned jobs = 1) {
  return {.speeds = ten_speeds(),
          .cell_size = search_cells,
          .tolerance = tools::coarser_tolerance * demo().run.settings.tolerance,
          .jobs = jobs};
}

// Design number i round another one: every tube longer or shorter by up to `reach` (m), in steps
// that repeat late. alike: the same change to all; else a change of its own to each of the eight.
cases::HeaderDesign design(const cases::HeaderDesign& centre, std::size_t i, bool alike,
                           double reach) {
  cases::HeaderDesign changed = centre;
  std::size_t k = 0;
  for (auto& tube : changed.primary_length) {
    const std::size_t step = alike ? i : (i + 1) * (2 * k + 3);
    tube.second += reach * (static_cast<double>((37 * step) % 151) / 75.0 - 1.0);
    ++k;
  }
  return changed;
}

std::vector<cases::HeaderDesign> designs(const cases::HeaderDesign& centre, std::size_t count,
                                         bool alike, double reach) {
  std::vector<cases::HeaderDesign> list;
  for (std::size_t i = 0; i < count; ++i) list.push_back(design(centre, i, alike, reach));
  return list;
}

// One header at ten speeds from rest on cells of 90 mm and from there on 30 mm: the first design of
// a search.
void first_header(benchmark::State& state) {
  for (auto _ : state) {
    tools::DesignEvaluator evaluator(demo(), equal_length(), options());
    double torque = 0;
    evaluator.evaluate({equal_length()}, {},
                       [&](const tools::DesignPoint& point) { torque += point.torque; });
    benchmark::DoNotOptimize(torque);
  }
}
BENCHMARK(first_header)->Unit(benchmark::kMillisecond);

// Ten headers at ten speeds, all tubes of a header alike, within so many mm of one that was added
// as a start. A header costs a tenth of it.
void ten_headers(benchmark::State& state) {
  tools::DesignEvaluator evaluator(demo(), equal_length(), options());
  const auto ignore = [](const tools::DesignPoint&) {};
  const cases::HeaderDesign centre = design(equal_length(), 1, true, 0.05);
  evaluator.add_start(centre);
  evaluator.evaluate({centre}, {}, ignore);
  const auto list = designs(centre, 10, true, 1e-3 * static_cast<double>(state.range(0)));
  for (auto _ : state) evaluator.evaluate(list, {}, ignore);
}
BENCHMARK(ten_headers)->Arg(10)->Arg(75)->Iterations(1)->Unit(benchmark::kMillisecond);

// A tenth of a search of eight lengths: two rounds of 25 headers, each with eight lengths of its
// own, the second round closer, round one of the first; on two threads, with the first header.
void eight_lengths(benchmark::State& state) {
  const auto ignore = [](const tools::DesignPoint&) {};
  for (auto _ : state) {
    tools::DesignEvaluator evaluator(demo(), equal_length(), options(2));
    const auto first = designs(equal_length(), 25, false, 0.075);
    evaluator.evaluate(first, {}, ignore);
    evaluator.add_start(first[7]);
    evaluator.evaluate(designs(first[7], 25, false, 0.025), {}, ignore);
  }
}
BENCHMARK(eight_lengths)->Unit(benchmark::kMillisecond)->UseRealTime();

// The demo whole, into a results file, on one thread. Minutes.
void demo_comparison(benchmark::State& state) {
  const cases::CaseFile case_file = demo_with(static_cast<models::SameParts>(state.range(0)));
  const tools::Study study(case_file, {});
  const auto file = std::filesystem::temp_directory_path() /
                    ("pulsewright-bench-demo-" + std::to_string(getpid()) + ".h5");
  for (auto _ : state) {
    const auto store = tools::ResultsStore::create(file, study.plan(), true);
    const std::atomic<bool> stop{false};
    tools::run_study(
        study, 1, stop, [](std::size_t, std::size_t) { return true; },
        [&](const tools::PointOutcome& o) {
          if (o.result) store->write(o.header_index, o.speed_index, *o.result, o.seconds);
        },
        [](std::size_t, std::size_t) {});
  }
  std::filesystem::remove(file);
}
BENCHMARK(demo_comparison)->Arg(0)->Arg(1)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace

}  // namespace pulsewright::bench
