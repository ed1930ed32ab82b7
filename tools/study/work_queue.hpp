// Runs the points of a study on several threads and hands every outcome to one consumer.
//
// A point is one header at one speed with all its variants. The runs of several points are stepped
// side by side (models/engine/point_batch.hpp): those of one header whose pipes have the same
// numbers of cells, slow ones first.
#pragma once

#include <atomic>
#include <functional>
#include <utility>
#include <vector>

#include "tools/study/study.hpp"

namespace pulsewright::tools {

struct QueueReport {
  std::size_t computed = 0;  // points (header and speed) that were computed in this call
  std::size_t failed = 0;    // runs that ended in a fault
  bool stopped = false;      // `stop` was set before the last point was done
};

using StudyPoint = std::pair<std::size_t, std::size_t>;  // header, speed

// By header and speed: whether a point is to be computed, and that its last run is done.
using WantedPoint = std::function<bool(std::size_t, std::size_t)>;
using PointDone = std::function<void(std::size_t, std::size_t)>;
using OutcomeSink = std::function<void(const PointOutcome&)>;

// All points that are wanted, in work_units that are best computed together, in that order: points
// of one header, no more than `most` each.
std::vector<std::vector<StudyPoint>> work_units_of(const Study& study, const WantedPoint& wanted,
                                                   std::size_t most);

// Computes the points of all work_units on `jobs` threads. `consume` is called by one thread at a
// time, once per run, and `point_done` after the last run of each point. A point under way when
// `stop` is set is given up. Exceptions of consume (a full disk) stop the queue and are thrown
// again here.
QueueReport run_points(const Study& study, const std::vector<std::vector<StudyPoint>>& work_units,
                       unsigned jobs, const std::function<bool()>& keep_going,
                       const OutcomeSink& consume, const PointDone& point_done);

// The same for all points for which `wanted(header, speed)` holds.
QueueReport run_study(const Study& study, unsigned jobs, const std::atomic<bool>& stop,
                      const WantedPoint& wanted, const OutcomeSink& consume,
                      const PointDone& point_done);

}  // namespace pulsewright::tools
