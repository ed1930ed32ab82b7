// Pipes of equal numbers of cells stepped side by side, one per lane of lane_kernels.hpp.
//
// A pipe that takes a seat keeps its place in the program - whoever reads or sets its cells does so
// as before - but its numbers stand among those of the others, and it is stepped with them instead
// of by DuctUpdate. Empty seats are stepped too and hold gas of no account.
#pragma once

#include <array>
#include <memory>

#include "solver/duct.hpp"
#include "solver/kernel_tables.hpp"

namespace pulsewright::solver {

class DuctLanes {
 public:
  // For pipes with as many cells as this one, of one gas. kernels: of the scheme, kept by
  // reference. Throws std::invalid_argument for a scheme without.
  DuctLanes(const Duct& like, const LaneKernelTable& kernels, const Gas& gas);
  // All seats must be empty.
  ~DuctLanes() = default;
  DuctLanes(DuctLanes&&) = default;
  DuctLanes& operator=(DuctLanes&&) = default;

  std::size_t cells() const { return cells_; }
  bool steps_by(const LaneKernelTable& kernels, const Gas& gas) const {
    return kernels_ == &kernels && gas_ == gas;
  }

  // The pipe must stay where it is until it leaves. Throws std::invalid_argument when the numbers
  // of cells differ or the seat is taken.
  void seat(std::size_t lane, Duct& duct);
  void leave(std::size_t lane);

  // One time step in two halves, between which the ends of the pipes answer: predict() sets what
  // left_end() and right_end() of each pipe return, advance() takes the fluxes at its ends. dt in
  // s for each seat, 0 for an empty one.
  void predict(const LaneNumbers& dt);
  void advance(const LaneNumbers& dt);

  // Of the pipe in that seat in the last step: what its Duct::checked() takes, and whether the
  // fall-back near vacuum acted.
  Duct::WaveSpeedCheck check(std::size_t lane) const {
    return {outcome_.fastest.at[lane], outcome_.bad.at[lane] != 0};
  }
  bool fell_back(std::size_t lane) const { return outcome_.fell_back.at[lane] != 0; }

 private:
  struct Free {
    void operator()(double* p) const { ::operator delete(p, std::align_val_t(64)); }
  };
  double* first() { return numbers_.get() + lane_block; }  // the block of cell 0
  LaneSteps steps(const LaneNumbers& dt) const;

  const LaneKernelTable* kernels_;
  Gas gas_;
  std::size_t cells_;
  std::unique_ptr<double[], Free> numbers_;
  std::array<Duct*, lane_count> seats_{};
  LaneNumbers dx_;  // m, of the pipes
  LaneOutcome outcome_{};
};

}  // namespace pulsewright::solver
