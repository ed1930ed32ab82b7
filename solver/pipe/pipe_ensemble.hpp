// Pipes of equal numbers of cells stepped side by side, one per lane of ensemble_kernels.hpp.
//
// A pipe that takes a seat keeps its place in the program - whoever reads or sets its cells does so
// as before - but its numbers stand among those of the others, and it is stepped with them instead
// of by PipeUpdate. Empty seats are stepped too and hold gas of no account.
#pragma once

#include <array>
#include <memory>

#include "solver/pipe/kernel_tables.hpp"
#include "solver/pipe/pipe.hpp"

namespace pulsewright::solver {

class PipeEnsemble {
 public:
  // For pipes with as many cells as this one, of one gas. kernels: of the scheme, kept by
  // reference. Throws std::invalid_argument for a scheme without.
  PipeEnsemble(const Pipe& like, const EnsembleKernelTable& kernels, const Gas& gas);
  // All seats must be empty.
  ~PipeEnsemble() = default;
  PipeEnsemble(PipeEnsemble&&) = default;
  PipeEnsemble& operator=(PipeEnsemble&&) = default;

  std::size_t cells() const { return cells_; }
  bool steps_by(const EnsembleKernelTable& kernels, const Gas& gas) const {
    return kernels_ == &kernels && gas_ == gas;
  }

  // The pipe must stay where it is until it leaves. Throws std::invalid_argument when the numbers
  // of cells differ or the seat is taken.
  void seat(std::size_t lane, Pipe& pipe);
  void leave(std::size_t lane);

  // One time step in two halves, between which the ends of the pipes answer: predict() sets what
  // left_end() and right_end() of each pipe return, advance() takes the fluxes at its ends. dt in
  // s for each seat, 0 for an empty one.
  void predict(const LaneValues& dt);
  void advance(const LaneValues& dt);

  // Of the pipe in that seat in the last step: what its Pipe::checked() takes, and whether the
  // fall-back near vacuum acted.
  Pipe::WaveSpeedCheck check(std::size_t lane) const {
    return {outcome_.fastest.at[lane], outcome_.bad.at[lane] != 0};
  }
  bool used_first_order_fallback(std::size_t lane) const {
    return outcome_.used_first_order_fallback.at[lane] != 0;
  }

 private:
  struct Free {
    void operator()(double* p) const { ::operator delete(p, std::align_val_t(64)); }
  };
  double* first() { return numbers_.get() + lane_block; }  // the block of cell 0
  LaneTimeSteps steps(const LaneValues& dt) const;

  const EnsembleKernelTable* kernels_;
  Gas gas_;
  std::size_t cells_;
  std::unique_ptr<double[], Free> numbers_;
  std::array<Pipe*, lane_count> seats_{};
  LaneValues dx_;  // m, of the pipes
  EnsembleStepResult outcome_{};
};

}  // namespace pulsewright::solver
