// The pipes of several networks that are alike, each pipe with its likes in one ensemble
// (solver/pipe/pipe_ensemble.hpp): one member per network.
//
// A sweep over an ensemble costs the same whether its places are taken or not. With few networks it
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

  // Whether the pipes stand in ensembles: then predict() and advance() step them all.
  bool formed() const { return formed_; }
  // Puts the pipes into ensembles, or takes them out, as it pays. The networks must stay where they
  // are while they are in.
  void regroup(const Members& members);
  // Takes all pipes out.
  void dissolve(const Members& members);
  // One network more, or one less.
  void assign(std::size_t member, const Members& members);
  void release(std::size_t member);

  // The two halves of a step, for all members at once; dt in s, 0 where there is none. Afterwards
  // collect() for each member (throws solver::Fault).
  void predict(const solver::EnsembleValues& dt);
  void advance(const solver::EnsembleValues& dt);
  void collect(std::size_t member, Network& network) const;

 private:
  bool formed_ = false;
  std::vector<solver::PipeEnsemble> pipes_;  // one per pipe of a network
};

}  // namespace pulsewright::models
