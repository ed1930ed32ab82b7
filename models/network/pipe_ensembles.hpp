// The pipes of several similar networks, corresponding pipes in one ensemble
// (solver/pipe/pipe_ensemble.hpp): one member per network.
//
// A sweep over an ensemble costs the same whether its slots are in use or not. With few networks it
// is cheaper to step pipe by pipe; regroup() decides.
#pragma once

#include <array>
#include <vector>

#include "models/network/network.hpp"
#include "solver/pipe/pipe_ensemble.hpp"

namespace pulsewright::models {

class PipeEnsembles {
 public:
  static constexpr std::size_t size = solver::ensemble_size;
  using Members = std::array<Network*, size>;  // null: none

  // Whether the pipes are in ensembles: then predict() and advance() step them all.
  bool formed() const { return formed_; }
  // Assigns the pipes to ensembles, or releases them, whichever is faster. The networks must stay
  // where they are while they are in.
  void regroup(const Members& members);
  // Releases all pipes.
  void dissolve(const Members& members);
  // One network more, or one less.
  void assign(std::size_t member, const Members& members);
  void release(std::size_t member);

  // The two halves of a step, for all members at once; dt in s, 0 for a free slot. Afterwards
  // collect() for each member (throws solver::Fault).
  void predict(const solver::EnsembleValues& dt);
  void advance(const solver::EnsembleValues& dt);
  void collect(std::size_t member, Network& network) const;

 private:
  bool formed_ = false;
  std::vector<solver::PipeEnsemble> pipes_;  // one per pipe of a network
};

}  // namespace pulsewright::models
