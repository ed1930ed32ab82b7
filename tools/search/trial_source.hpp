// Who computes the designs of a search: threads of this process (LocalTrials), or processes
// that share it (tools/spread).
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "tools/search/design_evaluator.hpp"
#include "tools/search/search_space.hpp"

namespace pulsewright::tools {

class TrialSource {
 public:
  TrialSource() = default;
  virtual ~TrialSource() = default;
  TrialSource(const TrialSource&) = delete;
  TrialSource& operator=(const TrialSource&) = delete;

  // As DesignEvaluator::evaluate(), for designs by their keys: `selected` says by place in the list
  // and speed what is to be computed. A design that cannot be fails at all its speeds.
  virtual bool compute(const std::vector<TrialKey>& keys,
                       const DesignEvaluator::PointFilter& selected,
                       const std::function<bool()>& keep_going,
                       const DesignEvaluator::PointSink& consume) = 0;
  // As DesignEvaluator::add_start(). Throws std::invalid_argument for values that cannot be.
  virtual void add_start(const TrialKey& key) = 0;
};

// By the threads of this process.
class LocalTrials : public TrialSource {
 public:
  // All must outlive it.
  LocalTrials(const SearchSpace& space, DesignEvaluator& evaluator)
      : space_(space), evaluator_(evaluator) {}

  bool compute(const std::vector<TrialKey>& keys, const DesignEvaluator::PointFilter& selected,
               const std::function<bool()>& keep_going,
               const DesignEvaluator::PointSink& consume) override;
  void add_start(const TrialKey& key) override { evaluator_.add_start(space_.built(key)); }

 private:
  const SearchSpace& space_;
  DesignEvaluator& evaluator_;
};

}  // namespace pulsewright::tools
