#include "models/network/pipe_ensembles.hpp"

#include <algorithm>

namespace pulsewright::models {

namespace {

// Number of networks from which ensembles are faster, with hysteresis so that the pipes are not
// moved back and forth.
constexpr long worth_forming = 6;
constexpr long worth_keeping = 5;

void assign_pipes(std::vector<solver::PipeEnsemble>& ensembles, std::size_t member,
                  Network& network) {
  std::vector<solver::Pipe>& pipes = network.pipe_set().pipes();
  for (std::size_t i = 0; i < pipes.size(); ++i) ensembles[i].assign(member, pipes[i]);
}

}  // namespace

void PipeEnsembles::regroup(const Members& members) {
  const auto taken = std::count_if(members.begin(), members.end(),
                                   [](const Network* network) { return network != nullptr; });
  if (formed_) {
    if (taken < worth_keeping) dissolve(members);
    return;
  }
  if (taken < worth_forming) return;
  const Network& first =
      **std::find_if(members.begin(), members.end(), [](const Network* n) { return n != nullptr; });
  if (pipes_.empty() || !first.pipe_set().matches(pipes_)) pipes_ = first.pipe_set().ensembles();
  if (pipes_.empty()) return;
  for (const Network* network : members) {
    if (network && !network->pipe_set().matches(pipes_)) return;
  }
  for (std::size_t k = 0; k < size; ++k) {
    if (members[k]) assign_pipes(pipes_, k, *members[k]);
  }
  formed_ = true;
}

void PipeEnsembles::dissolve(const Members& members) {
  if (!formed_) return;
  for (std::size_t k = 0; k < size; ++k) {
    if (members[k]) release(k);
  }
  formed_ = false;
}

void PipeEnsembles::assign(std::size_t member, const Members& members) {
  if (!formed_) return;
  if (members[member]->pipe_set().matches(pipes_)) {
    assign_pipes(pipes_, member, *members[member]);
    return;
  }
  Members others = members;
  others[member] = nullptr;
  dissolve(others);
}

void PipeEnsembles::release(std::size_t member) {
  if (!formed_) return;
  for (auto& pipe : pipes_) pipe.release(member);
}

void PipeEnsembles::predict(const solver::EnsembleValues& dt) {
  for (auto& pipe : pipes_) pipe.predict(dt);
}

void PipeEnsembles::advance(const solver::EnsembleValues& dt) {
  for (auto& pipe : pipes_) pipe.advance(dt);
}

void PipeEnsembles::collect(std::size_t member, Network& network) const {
  network.pipe_set().collect(pipes_, member);
}

}  // namespace pulsewright::models
