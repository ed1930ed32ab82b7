#include "solver/pipe/pipe_ensemble.hpp"

#include <algorithm>
#include <new>
#include <stdexcept>

namespace pulsewright::solver {

PipeEnsemble::PipeEnsemble(const Pipe& like, const EnsembleKernelTable& kernels, const Gas& gas)
    : kernels_(&kernels), gas_(gas), cells_(like.cells()) {
  if (!kernels.advance)
    throw std::invalid_argument("ensemble: there are no kernels for this scheme");
  // Blocks of the cells and of the ghost values at either end.
  const std::size_t size = (cells_ + 2) * ensemble_block;
  numbers_.reset(static_cast<double*>(::operator new(size * sizeof(double), std::align_val_t(64))));
  std::fill_n(numbers_.get(), size, 0.0);
  std::fill_n(dx_.at, ensemble_size, like.dx());
  // Gas for the slots that stay free.
  for (std::size_t slot = 0; slot < ensemble_size; ++slot) {
    Pipe filling = like;
    assign(slot, filling);
    release(slot);
  }
}

void PipeEnsemble::assign(std::size_t slot, Pipe& pipe) {
  if (pipe.cells() != cells_) throw std::invalid_argument("ensemble: the numbers of cells differ");
  if (slots_[slot]) throw std::invalid_argument("ensemble: the slot is taken");
  slots_[slot] = &pipe;
  dx_.at[slot] = pipe.dx();
  for (std::size_t k = 0; k < field_count<EnsembleFields>; ++k) {
    field<EnsembleFields>(pipe, k).move_to(first() + k * ensemble_size + slot, ensemble_block);
  }
}

void PipeEnsemble::release(std::size_t slot) {
  for (std::size_t k = 0; k < field_count<EnsembleFields>; ++k) {
    field<EnsembleFields>(*slots_[slot], k).move_back();
  }
  slots_[slot] = nullptr;
}

EnsembleTimeSteps PipeEnsemble::steps(const EnsembleValues& dt) const {
  EnsembleTimeSteps result;
  result.dt = dt;
  for (std::size_t slot = 0; slot < ensemble_size; ++slot) {
    result.half.at[slot] = 0.5 * dt.at[slot] / dx_.at[slot];
  }
  return result;
}

void PipeEnsemble::predict(const EnsembleValues& dt) {
  EnsembleEndStates ends;
  kernels_->predict_ends(first(), cells_, gas_, steps(dt), ends);
  const auto of = [](const Primitive<EnsembleValues>& w, std::size_t slot) {
    return Primitive<double>{w.rho.at[slot], w.u.at[slot], w.p.at[slot], w.Y.at[slot]};
  };
  for (std::size_t slot = 0; slot < ensemble_size; ++slot) {
    if (slots_[slot]) slots_[slot]->set_ends({of(ends.left, slot), of(ends.right, slot)});
  }
}

void PipeEnsemble::advance(const EnsembleValues& dt) {
  EnsembleEndFluxes fluxes{};
  const auto put = [](Flux<EnsembleValues>& to, std::size_t slot, const Flux<double>& f) {
    to.mass.at[slot] = f.mass;
    to.momentum.at[slot] = f.momentum;
    to.energy.at[slot] = f.energy;
    to.burnt.at[slot] = f.burnt;
  };
  for (std::size_t slot = 0; slot < ensemble_size; ++slot) {
    if (!slots_[slot]) continue;
    put(fluxes.left, slot, slots_[slot]->flux_left());
    put(fluxes.right, slot, slots_[slot]->flux_right());
  }
  kernels_->advance(first(), cells_, gas_, steps(dt), fluxes, outcome_);
  for (std::size_t slot = 0; slot < ensemble_size; ++slot) {
    if (slots_[slot]) slots_[slot]->heat_transfer_time += dt.at[slot];
  }
}

}  // namespace pulsewright::solver
