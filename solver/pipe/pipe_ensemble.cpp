#include "solver/pipe/pipe_ensemble.hpp"

#include <algorithm>
#include <new>
#include <stdexcept>

namespace pulsewright::solver {

namespace {

// In the order of LaneField.
constexpr std::array<CellArray Pipe::*, static_cast<std::size_t>(LaneField::count)> fields{
    &Pipe::rho,
    &Pipe::u,
    &Pipe::p,
    &Pipe::Y,
    &Pipe::T,
    &Pipe::inverse_rho,
    &Pipe::gamma_less_1,
    &Pipe::momentum,
    &Pipe::energy_density,
    &Pipe::burnt_density,
    &Pipe::wall_heat,
    &Pipe::laminar,
    &Pipe::turbulent,
    &Pipe::exchange,
    &Pipe::T_wall,

    &Pipe::inverse_volume,
    &Pipe::face_area};

}  // namespace

PipeEnsemble::PipeEnsemble(const Pipe& like, const EnsembleKernelTable& kernels, const Gas& gas)
    : kernels_(&kernels), gas_(gas), cells_(like.cells()) {
  if (!kernels.advance) throw std::invalid_argument("lanes: there are none for this scheme");
  // Blocks of the cells, of the place before and two behind: the last face and its spare place.
  const std::size_t size = (cells_ + 3) * lane_block;
  numbers_.reset(static_cast<double*>(::operator new(size * sizeof(double), std::align_val_t(64))));
  std::fill_n(numbers_.get(), size, 0.0);
  std::fill_n(dx_.at, lane_count, like.dx());
  // Gas for the seats that stay empty.
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    Pipe filling = like;
    seat(lane, filling);
    leave(lane);
  }
}

void PipeEnsemble::seat(std::size_t lane, Pipe& pipe) {
  if (pipe.cells() != cells_) throw std::invalid_argument("lanes: the numbers of cells differ");
  if (seats_[lane]) throw std::invalid_argument("lanes: the seat is taken");
  seats_[lane] = &pipe;
  dx_.at[lane] = pipe.dx();
  for (std::size_t f = 0; f < fields.size(); ++f) {
    (pipe.*fields[f]).move_to(first() + f * lane_count + lane, lane_block);
  }
}

void PipeEnsemble::leave(std::size_t lane) {
  for (const auto field : fields) (seats_[lane]->*field).move_back();
  seats_[lane] = nullptr;
}

LaneTimeSteps PipeEnsemble::steps(const LaneValues& dt) const {
  LaneTimeSteps result;
  result.dt = dt;
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    result.half.at[lane] = 0.5 * dt.at[lane] / dx_.at[lane];
  }
  return result;
}

void PipeEnsemble::predict(const LaneValues& dt) {
  LaneEndStates ends;
  kernels_->predict_ends(first(), cells_, gas_, steps(dt), ends);
  const auto of = [](const Primitive<LaneValues>& w, std::size_t lane) {
    return Primitive<double>{w.rho.at[lane], w.u.at[lane], w.p.at[lane], w.Y.at[lane]};
  };
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    if (seats_[lane]) seats_[lane]->set_ends({of(ends.left, lane), of(ends.right, lane)});
  }
}

void PipeEnsemble::advance(const LaneValues& dt) {
  LaneEndFluxes fluxes{};
  const auto put = [](Flux<LaneValues>& to, std::size_t lane, const Flux<double>& f) {
    to.mass.at[lane] = f.mass;
    to.momentum.at[lane] = f.momentum;
    to.energy.at[lane] = f.energy;
    to.burnt.at[lane] = f.burnt;
  };
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    if (!seats_[lane]) continue;
    put(fluxes.left, lane, seats_[lane]->flux_left());
    put(fluxes.right, lane, seats_[lane]->flux_right());
  }
  kernels_->advance(first(), cells_, gas_, steps(dt), fluxes, outcome_);
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    if (seats_[lane]) seats_[lane]->heat_transfer_time += dt.at[lane];
  }
}

}  // namespace pulsewright::solver
