// The best header within what fits the car, by weighted aims.
//
// Score: the aims (aims.hpp) as means over the build tolerance, so that no knife edge wins. The
// mean is estimated from two designs with opposite errors of a twelfth of the squared width of the
// tolerance (search_space.hpp): exact for what is linear or bends in one tube, at twice the cost of
// the drawn design alone. All designs of a search have the same errors, so scores differ by design
// alone.
//
// A design with a point that failed or does not count in the band may guide the search, but is
// never the best; nor is the start where it lies beyond the limits.
//
// Designs start from the nearest of the reference and the best ones so far that lie 3 cm and more
// from the starts before them (DesignEvaluator::add_start()).
//
// Easier to build: fewer different primary lengths to cut, and lengths in whole half inches. The
// runner-up that is easier comes from the best by making lengths whole, and by making all varied
// primaries alike; of those that are easier than the best the one with the highest score.
//
// Cost of a limit: what the score gains when the limit that holds the best alone is moved outwards
// by half an inch.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cases/tune.hpp"
#include "tools/search/aims.hpp"
#include "tools/search/nearby_designs.hpp"
#include "tools/search/search_task.hpp"
#include "tools/search/trial_history.hpp"

namespace pulsewright::tools {

struct TuneAims {
  cases::AimWeights weights;
  std::vector<std::size_t> front;  // aims of aims.hpp to choose between; empty: the score alone
  std::size_t designs = 0;         // most that the optimiser computes, both of a pair counted
};

// Whether an aim (by its place in aims.hpp) counts, by weight or in the front.
bool is_aim(const TuneAims& aims, std::size_t i);

struct Candidate {
  std::vector<double> values;
  Aims aims;            // N m, means over the build tolerance
  double score = 0;     // N m
  bool scored = false;  // false: a point of those has no torque, and there is no score
  bool counts = false;  // every point that its aims are made of does
};

struct LimitCost {
  std::string what;   // "primary length 3, largest"
  double beyond = 0;  // m, value that was tried
  double gain = 0;    // N m of score for half an inch more room
};

struct TuneResult {
  Candidate start;
  std::optional<Candidate> best;    // none where no design counts
  std::optional<Candidate> easier;  // none where none is easier
  std::vector<LimitCost> limits;    // that hold the best; the dearest first
  std::vector<Candidate> front;     // where several aims were asked for
  std::vector<Candidate> history;   // in the order in which they were computed, each once
  // As drawn, without build errors; null where there is no such design.
  const Trial* start_drawn = nullptr;
  const Trial* best_drawn = nullptr;
  const Trial* easier_drawn = nullptr;
};

// The same for the same seed, whatever the number of threads. The variables of the task are what
// may change. Throws std::invalid_argument without variables, and as TrialHistory::trials().
TuneResult tune(const SearchTask& task, const TuneAims& aims, TrialHistory& history);

}  // namespace pulsewright::tools
