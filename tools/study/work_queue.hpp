// Runs the points of a study on several threads and passes every outcome to one consumer.
//
// A point is one header at one speed with all its variants. The runs of several points are stepped
// in batches (models/engine/point_batch.hpp): those of one header whose pipes have the same numbers
// of cells, slow ones first.
#pragma once

#include <atomic>
#include <functional>
#include <vector>

#include "tools/study/study.hpp"

namespace pulsewright::tools {

struct QueueReport {
  std::size_t computed = 0;  // points (header and speed) that were computed in this call
  std::size_t failed = 0;    // runs that ended in a fault
  bool stopped = false;      // `stop` was set before the last point was done
};

// Points of one header that are computed in batches together.
using WorkUnit = std::vector<StudyPoint>;

// By header and speed: whether a point is to be computed, and that its last run is done.
using PointFilter = std::function<bool(std::size_t, std::size_t)>;
// By header, speed and variant: whether a run of such a point is to be computed. The first variant
// always is, as the others start from it. Not set: all runs.
using RunFilter = std::function<bool(std::size_t, std::size_t, std::size_t)>;
using PointDone = std::function<void(std::size_t, std::size_t)>;
using OutcomeSink = std::function<void(const PointOutcome&)>;

// All points to be computed, in work units of no more than `most` points, in the order in which
// they are best begun.
std::vector<WorkUnit> work_units_of(const Study& study, const PointFilter& selected,
                                    std::size_t most);

// Computes the points of all work units on `jobs` threads. `consume` is called by one thread at a
// time, once per run, and `point_done` after the last run of each point. A point under way when
// `keep_going` turns false is given up. Exceptions of consume (a full disk) stop the queue and are
// thrown again here.
QueueReport run_points(const Study& study, const std::vector<WorkUnit>& work_units, unsigned jobs,
                       const std::function<bool()>& keep_going, const OutcomeSink& consume,
                       const PointDone& point_done, const RunFilter& wanted = {});

// The same for all points for which `selected(header, speed)` holds, until `stop` is set.
QueueReport run_study(const Study& study, unsigned jobs, const std::atomic<bool>& stop,
                      const PointFilter& selected, const OutcomeSink& consume,
                      const PointDone& point_done, const RunFilter& wanted = {});

}  // namespace pulsewright::tools
