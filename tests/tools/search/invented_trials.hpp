// A search without simulations: torques by a formula, and what the search asked for.
#pragma once

#include <functional>
#include <map>
#include <stdexcept>
#include <utility>
#include <vector>

#include "tools/search/search_space.hpp"
#include "tools/search/search_task.hpp"
#include "tools/search/trial_source.hpp"

namespace pulsewright::tests {

// Fills a point of a design: torque, or why it has none. speed: rev/s.
using Formula =
    std::function<void(const cases::HeaderDesign&, double speed, tools::DesignPoint& point)>;

class InventedTrials : public tools::TrialSource {
 public:
  // The task must outlive it.
  InventedTrials(const tools::SearchTask& task, Formula formula)
      : task_(task), formula_(std::move(formula)) {}

  bool compute(const std::vector<tools::TrialKey>& keys,
               const tools::DesignEvaluator::PointFilter& selected,
               const std::function<bool()>& keep_going,
               const tools::DesignEvaluator::PointSink& consume) override {
    for (std::size_t k = 0; k < keys.size(); ++k) {
      for (std::size_t s = 0; s < task_.speeds().size(); ++s) {
        if (selected && !selected(k, s)) continue;
        if (!keep_going()) return false;
        starts_known[keys[k]] = starts.size();
        consume(point_of(keys[k], k, s));
      }
    }
    return true;
  }
  void add_start(const tools::TrialKey& key) override { starts.push_back(key); }

  std::vector<tools::TrialKey> starts;                  // in their order
  std::map<tools::TrialKey, std::size_t> starts_known;  // when each design was computed

 private:
  tools::DesignPoint point_of(const tools::TrialKey& key, std::size_t design, std::size_t speed) {
    tools::DesignPoint point;
    point.design = design;
    point.speed = speed;
    try {
      formula_(task_.space().built(key), task_.speeds()[speed], point);
    } catch (const std::invalid_argument& error) {
      point.fault = tools::PointFault::failed;
      point.failure = error.what();
    }
    return point;
  }

  const tools::SearchTask& task_;
  Formula formula_;
};

// Length of the single cylinder's tube, m.
inline double length_of(const cases::HeaderDesign& design) {
  return design.primary_length.begin()->second;
}

}  // namespace pulsewright::tests
