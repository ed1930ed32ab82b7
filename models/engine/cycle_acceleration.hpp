// Anderson acceleration of the cycles of an operating point towards the periodic one.
//
// A cycle maps the state of the network at its start to that at its end; the periodic state is the
// fixed point of this map. Where the changes from cycle to cycle die away slowly or turn about the
// fixed point, the next cycle starts not from the end of the last one but from a mean of the ends
// of the last few, with weights (that sum to 1, some negative) for which the changes over these
// cycles, weighted likewise, cancel best: Anderson, J. ACM 12 (1965) 547; Walker & Ni, SIAM J.
// Numer. Anal. 49 (2011) 1715, equation 2.1 with beta = 1.
//
// It also leads to a periodic state that the engine itself would leave again, so a run whose
// question is whether the engine repeats does without (tools/dev/decisions/0013, 0051).
//
// In: the network at the start of a run and at the end of every cycle. Out: the state from which
// the next cycle starts. What was kept goes with the run, so a run depends on nothing else.
#pragma once

#include <deque>
#include <limits>
#include <vector>

#include "models/network/network.hpp"

namespace pulsewright::models {

class CycleAcceleration {
 public:
  // The network as the first cycle starts.
  void start(const Network& network);

  // The network at the end of a cycle that started from the last state known here.
  void add(const Network& network);

  // Largest relative change of the mass of a cylinder or a pipe from start to end of the last
  // cycle; infinite before the first.
  double residual() const { return residual_; }

  // Replaces the state of the network, which is that of the last add(), with the one from which the
  // next cycle is to start. In the first cycles they are the same.
  void extrapolate(Network& network);

  // Drops what is kept.
  void clear();

 private:
  struct Cycle {
    Network end;
    std::vector<double> state;   // of the end, in the numbers that changes are measured in
    std::vector<double> change;  // of the state from the start of the cycle
  };

  static std::vector<double> weights_of(const std::deque<Cycle>& cycles);

  std::vector<double> start_;         // state at the start of the running cycle
  std::vector<double> start_masses_;  // kg
  std::deque<Cycle> cycles_;          // the last ones, the oldest first
  double residual_ = std::numeric_limits<double>::infinity();
};

}  // namespace pulsewright::models
