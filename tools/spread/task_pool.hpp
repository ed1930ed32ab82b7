// The points of a study that are not done, in work_units that are computed side by side, and who
// computes which.
//
// A work_unit that is not done is handed out again to whoever has nothing else to do. So nobody has
// to find out who is dead or hangs; results are the same whoever is first.
#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

using WorkUnit = std::vector<StudyPoint>;  // of one header

class TaskPool {
 public:
  // Who computes is known by a number below `holders` and has one work_unit at a time.
  TaskPool(const std::vector<WorkUnit>& work_units, std::size_t holders)
      : held_(holders), undone_(work_units.size()) {
    for (const WorkUnit& work_unit : work_units) entries_.push_back({work_unit});
  }

  std::size_t undone() const { return undone_; }  // work_units

  std::optional<WorkUnit> held_by(std::size_t holder) const {
    const auto& index = held_.at(holder);
    return index ? std::optional(entries_[*index].work_unit) : std::nullopt;
  }

  // The next that nobody had yet; then the first of those not done that the fewest have. There must
  // be one that is not done.
  WorkUnit hand_to(std::size_t holder) {
    put_back(holder);
    std::size_t index = fresh_;
    if (fresh_ < entries_.size()) {
      ++fresh_;
    } else {
      const auto fewest = std::min_element(
          entries_.begin(), entries_.end(), [](const Entry& one, const Entry& other) {
            return std::pair(one.done, one.holders) < std::pair(other.done, other.holders);
          });
      index = static_cast<std::size_t>(fewest - entries_.begin());
    }
    ++entries_[index].holders;
    held_.at(holder) = index;
    return entries_[index].work_unit;
  }

  void put_back(std::size_t holder) {
    auto& index = held_.at(holder);
    if (index) --entries_[*index].holders;
    index.reset();
  }

  // Whether this one is the first to finish the work_unit that it has.
  bool finish(std::size_t holder) {
    const auto index = held_.at(holder);
    put_back(holder);
    if (!index || entries_[*index].done) return false;
    entries_[*index].done = true;
    --undone_;
    return true;
  }

 private:
  struct Entry {
    WorkUnit work_unit;
    int holders = 0;
    bool done = false;
  };
  std::vector<Entry> entries_;
  std::vector<std::optional<std::size_t>> held_;  // by holder: index of its entry
  std::size_t fresh_ = 0;                         // entries from here on were never handed out
  std::size_t undone_;
};

}  // namespace pulsewright::tools
