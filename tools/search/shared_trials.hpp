// Designs of a search computed by several processes that all run the same search.
//
// Every process asks for the same designs, since what it asks for follows from plan, seed and
// figures, which are the same bits everywhere. Of each list a process computes its part: the points
// in the order of their speeds are cut into pieces of equal work (a point takes as many time steps
// as its cycle lasts), so that each needs the reference at few speeds only. Then the processes
// exchange what they have, and go on with all of it.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "tools/search/trial_source.hpp"

namespace pulsewright::tools {

// This process among those that share a search.
struct ProcessShare {
  std::size_t rank = 0, size = 1;
  // Gives the texts of all processes, by rank, for that of this one; every process calls it as
  // often.
  std::function<std::vector<std::string>(const std::string&)> exchange;
};

class SharedTrials : public TrialSource {
 public:
  // source: computes the part of this process. speeds: rev/s, of the search. All must outlive it.
  SharedTrials(TrialSource& source, const std::vector<double>& speeds, ProcessShare share)
      : source_(source), speeds_(speeds), share_(std::move(share)) {}

  // Returns false in all processes where one of them was stopped, and throws std::runtime_error in
  // all where one of them could not go on.
  bool compute(const std::vector<TrialKey>& keys, const DesignEvaluator::PointFilter& selected,
               const std::function<bool()>& keep_going,
               const DesignEvaluator::PointSink& consume) override;
  void add_start(const TrialKey& key) override { source_.add_start(key); }

 private:
  using Point = std::pair<std::size_t, std::size_t>;  // design, speed
  bool compute_piece(const std::vector<TrialKey>& keys, const std::vector<Point>& points,
                     const std::function<bool()>& keep_going,
                     const DesignEvaluator::PointSink& consume);

  TrialSource& source_;
  const std::vector<double>& speeds_;
  ProcessShare share_;
};

// Where the parts of a list begin and the last one ends, for work that differs by item: each part
// has as nearly as can be the same sum. One more than parts.
std::vector<std::size_t> equal_parts(const std::vector<double>& work, std::size_t parts);

}  // namespace pulsewright::tools
