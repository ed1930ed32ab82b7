// An ensemble: up to ensemble_size pipes of equal numbers of cells, stepped together, one per lane
// of ensemble_kernels.hpp.
//
// A pipe that is assigned to a slot keeps its address, and its cells are read and set as before,
// but its numbers are stored among those of the others, and it is stepped with them instead of by
// PipeUpdate. Free slots are stepped too, with arbitrary gas.
#pragma once

#include <array>
#include <memory>

#include "solver/pipe/kernels.hpp"
#include "solver/pipe/pipe.hpp"

namespace pulsewright::solver {

class PipeEnsemble {
 public:
  // For pipes with as many cells as this one, of one gas. kernels: of the scheme, kept by
  // reference. Throws std::invalid_argument for a scheme without.
  PipeEnsemble(const Pipe& like, const EnsembleKernelTable& kernels, const Gas& gas);
  // All slots must be free.
  ~PipeEnsemble() = default;
  PipeEnsemble(PipeEnsemble&&) = default;
  PipeEnsemble& operator=(PipeEnsemble&&) = default;

  std::size_t cells() const { return cells_; }
  bool steps_by(const EnsembleKernelTable& kernels, const Gas& gas) const {
    return kernels_ == &kernels && gas_ == gas;
  }

  // The pipe must stay where it is until the slot is released. Throws std::invalid_argument when
  // the numbers of cells differ or the slot is taken.
  void assign(std::size_t slot, Pipe& pipe);
  void release(std::size_t slot);

  // One time step in two halves, between which the boundary conditions apply: predict() sets what
  // left_end() and right_end() of each pipe return, advance() takes the fluxes at its ends. dt in
  // s for each slot, 0 for a free one.
  void predict(const EnsembleValues& dt);
  void advance(const EnsembleValues& dt);

  // Of the pipe in that slot in the last step: what its Pipe::checked() takes, and whether the
  // first-order fallback acted.
  StateCheck check(std::size_t slot) const {
    return {outcome_.fastest.at[slot], outcome_.bad.at[slot] != 0};
  }
  bool used_first_order_fallback(std::size_t slot) const {
    return outcome_.used_first_order_fallback.at[slot] != 0;
  }

 private:
  struct Free {
    void operator()(double* p) const { ::operator delete(p, std::align_val_t(64)); }
  };
  double* first() { return numbers_.get() + ensemble_block; }  // the block of cell 0
  EnsembleTimeSteps steps(const EnsembleValues& dt) const;

  const EnsembleKernelTable* kernels_;
  Gas gas_;
  std::size_t cells_;
  std::unique_ptr<double[], Free> numbers_;
  std::array<Pipe*, ensemble_size> slots_{};
  EnsembleValues dx_;  // m, of the pipes
  EnsembleStepResult outcome_{};
};

}  // namespace pulsewright::solver
