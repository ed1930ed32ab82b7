// A list of operating points on several threads, each thread stepping several of them in a batch
// (models/engine/point_batch.hpp).
//
// What comes of a run depends neither on the number of threads nor on its neighbours.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string>

#include "models/engine/point_simulation.hpp"

namespace pulsewright::tools {

// Calls work(go_on) on `jobs` threads, the caller's among them, and waits for all. go_on turns
// false with keep_going (empty: never), and once one of them has thrown. The first exception is
// thrown again here, except RunStopped.
void on_threads(unsigned jobs, const std::function<bool()>& keep_going,
                const std::function<void(const std::function<bool()>& go_on)>& work);

struct RunList {
  using Run = std::unique_ptr<models::PointSimulation>;

  std::size_t count = 0;
  // Makes run number i; called by several threads. What it throws, other than std::bad_alloc, is
  // the failure of that run.
  std::function<Run(std::size_t)> make;
  // Takes run number i when it has ended, null where it could not be made; called by one thread at
  // a time, in any order. failure: empty where it has a result. seconds: its part of the time that
  // passed.
  std::function<void(std::size_t, Run, const std::string& failure, double seconds)> take;
  // Runs with one key, which stand beside each other in the list, are stepped together; not set:
  // all. Those with different gases must have different keys.
  std::function<std::size_t(std::size_t)> key;
};

// Runs the list in its order. Returns false where keep_going turned false before the last run; it
// is called by several threads. What `take` throws ends the work and is thrown again.
bool run_list(const RunList& list, unsigned jobs, const std::function<bool()>& keep_going);

// Settings of a run that gives figures alone: no traces, no diagram, no second pattern.
models::RunSettings figure_settings(const models::RunSettings& of_case);

// Relative, to which cycles repeat where runs are compared that differ little.
inline constexpr double difference_tolerance = 2e-4;
// The same for such a run: its cycles repeat to that, or closer if the case wants it.
models::RunSettings difference_settings(const models::RunSettings& of_case);

// Cycles, at least, of a run that starts from the end of another one: one fewer than the case wants
// of a run from rest, and two, since fewer show no change.
constexpr int least_cycles_after_start(int of_case) { return of_case > 2 ? of_case - 1 : 2; }

// Cells of the coarse grid over those of the production grid.
inline constexpr double coarse_grid_ratio = 3;

}  // namespace pulsewright::tools
