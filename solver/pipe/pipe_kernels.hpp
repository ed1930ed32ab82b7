// The loops over the cells of one pipe: one time step of pipe_update.hpp, on plain
// pointers, in packs of neighbouring cells.
//
// Compiled once per instruction set (kernels_avx2.cpp, kernels_avx512.cpp). Everything they call is
// inlined or has the pack in its name, so that no code for a wider processor can get into the rest
// of the program; all instruction sets give the same bits.
#pragma once

#include "solver/pipe/cell_update.hpp"
#include "solver/pipe/limiters.hpp"
#include "solver/pipe/pipe.hpp"
#include "solver/pipe/state_check.hpp"
#include "solver/riemann/fluxes.hpp"

namespace pulsewright::solver {

struct PipeStepResult {
  StateCheck check;
  bool used_first_order_fallback = false;  // the first-order fallback acted somewhere
};

// The kernels of one scheme, cells: number of cells, dt in s. Both need the ghost values of rho, u,
// p, Y.
struct PipeKernelTable {
  // Predicts the states at the two ends.
  Pipe::Ends (*predict_ends)(const Pipe::Pointers& at, std::size_t cells, const Gas& gas,
                             double dt);
  // All the rest, when the fluxes at the first and the last face are known.
  PipeStepResult (*advance)(const Pipe::Pointers& at, std::size_t cells, const Gas& gas, double dt);
};

template <class Model, class NumericalFlux, class Limiter, class PackType>
class PipeKernels {
 public:
  using GasModel = typename Model::GasModel;

  static constexpr PipeKernelTable table() { return {&predict_ends, &advance}; }

  static Pipe::Ends predict_ends(const Pipe::Pointers& at, std::size_t cells, const Gas& gas,
                                 double dt) {
    const GasModel local_gas(gas);
    const std::size_t last = cells - 1;
    predict_cell<double>(at, local_gas, dt, 0);
    predict_cell<double>(at, local_gas, dt, last);
    return {{at.l_rho[0], at.l_u[0], at.l_p[0], at.l_Y[0]},
            {at.r_rho[last], at.r_u[last], at.r_p[last], at.r_Y[last]}};
  }

  static PipeStepResult advance(const Pipe::Pointers& pointers, std::size_t cells, const Gas& gas,
                                double dt) {
    return cells > lanes<PackType> ? sweep<PackType>(pointers, cells, gas, dt)
                                   : sweep<double>(pointers, cells, gas, dt);
  }

  // The cells i .. i + lanes<Real> - 1. Returns where the first-order fallback acted.
  template <class Real>
  PULSEWRIGHT_INLINE static auto predict_cell(const Pipe::Pointers& d, const GasModel& gas,
                                              double dt, std::size_t i) {
    const auto at = [&](const double* w) __attribute__((always_inline)) {
      return load<Real>(w + i);
    };
    const auto beside = [&](std::ptrdiff_t by) __attribute__((always_inline)) {
      return Primitive<Real>{load<Real>(d.rho + i + by), load<Real>(d.u + i + by),
                             load<Real>(d.p + i + by), load<Real>(d.Y + i + by)};
    };
    const CellStart<Real> cell{beside(0),           at(d.T),       at(d.inverse_rho),
                               at(d.gamma_less_1),  at(d.laminar), at(d.turbulent),
                               at(d.heat_transfer), at(d.T_wall),  at(d.area_rise),
                               at(d.inverse_volume)};
    const CellMidpoint<Real> w =
        predictor<Model, Limiter>(gas, dt, 0.5 * dt / d.dx, beside(-1), cell, beside(1));
    store(d.l_rho + i, w.left.rho);
    store(d.l_u + i, w.left.u);
    store(d.l_p + i, w.left.p);
    store(d.l_Y + i, w.left.Y);
    store(d.r_rho + i, w.right.rho);
    store(d.r_u + i, w.right.u);
    store(d.r_p + i, w.right.p);
    store(d.r_Y + i, w.right.Y);
    store(d.h_p + i, w.p);
    if constexpr (Model::walls) {
      store(d.h_force + i, w.force);
      store(d.h_heat + i, w.heat);
    }
    return w.used_first_order_fallback;
  }

  // The faces i .. i + lanes<Real> - 1.
  template <class Real>
  PULSEWRIGHT_INLINE static void flux_at_face(const Pipe::Pointers& at, const GasModel& gas,
                                              std::size_t i) {
    const Primitive<Real> left{load<Real>(at.r_rho + i - 1), load<Real>(at.r_u + i - 1),
                               load<Real>(at.r_p + i - 1), load<Real>(at.r_Y + i - 1)};
    const Primitive<Real> right{load<Real>(at.l_rho + i), load<Real>(at.l_u + i),
                                load<Real>(at.l_p + i), load<Real>(at.l_Y + i)};
    const Flux<Real> f = NumericalFlux::between(gas, left, right);
    store(at.f_mass + i - 1, f.mass);
    store(at.f_momentum + i - 1, f.momentum);
    store(at.f_energy + i - 1, f.energy);
    store(at.f_burnt + i - 1, f.burnt);
  }

  // The cells i .. i + lanes<Real> - 1, whose new states are added to the checks.
  template <class Real>
  PULSEWRIGHT_INLINE static void apply_cell(const Pipe::Pointers& d, const GasModel& gas, double dt,
                                            std::size_t i, StateChecks<Real>& checks) {
    const auto at = [&](const double* w) __attribute__((always_inline)) {
      return load<Real>(w + i);
    };
    const auto flux = [&](std::size_t by) __attribute__((always_inline)) {
      return Flux<Real>{load<Real>(d.f_mass + i + by - 1), load<Real>(d.f_momentum + i + by - 1),
                        load<Real>(d.f_energy + i + by - 1), load<Real>(d.f_burnt + i + by - 1)};
    };
    const CellContent<Real> q = corrector<Model>(
        dt, {at(d.rho), at(d.momentum), at(d.energy_density), at(d.burnt_density), at(d.wall_heat)},
        at(d.face_area), load<Real>(d.face_area + i + 1), at(d.inverse_volume), flux(0), flux(1),
        at(d.h_p), at(d.h_force), at(d.h_heat));
    store(d.next_rho + i, q.rho);
    store(d.next_momentum + i, q.momentum);
    store(d.next_energy + i, q.energy);
    store(d.next_burnt + i, q.burnt);
    store(d.next_wall_heat + i, q.wall_heat);
    const CellState<Real> w = cell_state(gas, q.rho, q.momentum, q.energy, q.burnt);
    store(d.u + i, w.u);
    store(d.Y + i, w.Y);
    store(d.T + i, w.T);
    store(d.p + i, w.p);
    store(d.inverse_rho + i, w.inverse_rho);
    store(d.gamma_less_1 + i, w.gamma_less_1);
    checks.add(q.rho, w.T, Real(abs(w.u) + w.c));
  }

 private:
  // One sweep, software-pipelined in three stages: the predictor of a pack runs some packs ahead of
  // the fluxes at its faces, and these ahead of its corrector. Nothing within an iteration waits
  // for anything else of it, so that the processor predicts while the fluxes divide, and what is
  // loaded across the edges of packs was stored long enough ago to be in the cache.
  template <class Real>
  static PipeStepResult sweep(const Pipe::Pointers& pointers, std::size_t cells, const Gas& gas,
                              double dt) {
    constexpr std::size_t width = lanes<Real>;
    constexpr std::size_t distance = 4;  // iterations from one stage to the next
    const GasModel local_gas(gas);
    const Pipe::Pointers at = pointers;
    StateChecks<Real> checks;
    auto used_first_order_fallback = Real(0.0) > Real(0.0);
    // The last pack overlaps the one before and does some of it again.
    const std::size_t last = cells - width;
    const std::size_t packs = (cells + width - 1) / width;
    const std::size_t packs_of_faces = (cells - 1 + width - 1) / width;
    const auto start = [&](std::size_t i) __attribute__((always_inline)) {
      return i < last ? i : last;
    };
    for (std::size_t k = 0; k < packs + 2 * distance; ++k) {
      if (k >= distance && k - distance < packs_of_faces) {
        flux_at_face<Real>(at, local_gas, start(1 + (k - distance) * width));
      }
      if (k < packs) {
        used_first_order_fallback =
            predict_cell<Real>(at, local_gas, dt, start(k * width)) || used_first_order_fallback;
      }
      if (k >= 2 * distance) {
        apply_cell<Real>(at, local_gas, dt, start((k - 2 * distance) * width), checks);
      }
    }
    return {checks.sum(), any(used_first_order_fallback)};
  }
};

}  // namespace pulsewright::solver
