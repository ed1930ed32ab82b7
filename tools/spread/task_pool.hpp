// The work units of a study that are not completed, and which worker has which.
//
// A work unit that is not completed is assigned again to a worker that has nothing else to do. So
// a worker that is dead or hangs need not be detected; results are the same whichever worker is
// first.
#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

class TaskPool {
 public:
  // Workers are numbers below `workers`; each has one work unit at a time.
  TaskPool(const std::vector<WorkUnit>& work_units, std::size_t workers)
      : assigned_(workers), remaining_(work_units.size()) {
    for (const WorkUnit& work_unit : work_units) entries_.push_back({work_unit});
  }

  std::size_t remaining() const { return remaining_; }  // work units that are not completed

  std::optional<WorkUnit> assigned_to(std::size_t worker) const {
    const auto& index = assigned_.at(worker);
    return index ? std::optional(entries_[*index].work_unit) : std::nullopt;
  }

  // The next that no worker had yet; then the first of those not completed that the fewest have.
  // There must be one that is not completed. Releases what the worker had.
  WorkUnit assign(std::size_t worker) {
    release(worker);
    std::size_t index = fresh_;
    if (fresh_ < entries_.size()) {
      ++fresh_;
    } else {
      const auto fewest = std::min_element(entries_.begin(), entries_.end(),
                                           [](const Entry& one, const Entry& other) {
                                             return std::pair(one.completed, one.workers) <
                                                    std::pair(other.completed, other.workers);
                                           });
      index = static_cast<std::size_t>(fewest - entries_.begin());
    }
    ++entries_[index].workers;
    assigned_.at(worker) = index;
    return entries_[index].work_unit;
  }

  // The worker gives up what it has.
  void release(std::size_t worker) {
    auto& index = assigned_.at(worker);
    if (index) --entries_[*index].workers;
    index.reset();
  }

  // Whether this worker is the first to complete the work unit that it has.
  bool complete(std::size_t worker) {
    const auto index = assigned_.at(worker);
    release(worker);
    if (!index || entries_[*index].completed) return false;
    entries_[*index].completed = true;
    --remaining_;
    return true;
  }

 private:
  struct Entry {
    WorkUnit work_unit;
    int workers = 0;
    bool completed = false;
  };
  std::vector<Entry> entries_;
  std::vector<std::optional<std::size_t>> assigned_;  // by worker: index of its entry
  std::size_t fresh_ = 0;                             // entries from here on were never assigned
  std::size_t remaining_;
};

}  // namespace pulsewright::tools
