// The loops over the cells of one pipe: one time step as it stands in duct_update.hpp, on plain
// pointers, in packs of a given width.
//
// Apart from the rest so that they can be compiled once more for processors with wider vectors
// (duct_kernels_wide.cpp). Everything they call is inlined or has the width in its name, so that no
// code for the wider processor can get into the rest of the program; both widths give the same
// bits.
#pragma once

#include "solver/cell_step.hpp"
#include "solver/duct.hpp"
#include "solver/fluxes.hpp"
#include "solver/limiters.hpp"

namespace pulsewright::solver {

// The kernels of one scheme, cells: number of cells, dt in s.
struct DuctKernelTable {
  // Needs the spare places of rho, u, p, Y. Returns whether the fall-back near vacuum acted.
  bool (*predict)(const Duct::Pointers& at, std::size_t cells, const Gas& gas, double dt);
  void (*interior_fluxes)(const Duct::Pointers& at, std::size_t cells, const Gas& gas);
  Duct::WaveSpeedCheck (*apply)(const Duct::Pointers& at, std::size_t cells, const Gas& gas,
                                double dt);
};

template <class Model, class NumericalFlux, class Limiter, class Width>
class DuctKernels {
 public:
  using GasModel = typename Model::GasModel;

  static constexpr DuctKernelTable table() { return {&predict, &interior_fluxes, &apply}; }

  static bool predict(const Duct::Pointers& at, std::size_t cells, const Gas& gas, double dt) {
    bool fell_back = false;
    const GasModel local_gas(gas);
    const Duct::Pointers d = at;
    for_each_cell<Width>(
        0, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          fell_back = predict_cell<Real>(d, local_gas, dt, i) || fell_back;
        });
    return fell_back;
  }

  static void interior_fluxes(const Duct::Pointers& pointers, std::size_t cells, const Gas& gas) {
    const GasModel local_gas(gas);
    const Duct::Pointers at = pointers;
    for_each_cell<Width>(
        1, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          const Primitive<Real> left{load<Real>(at.r_rho + i - 1), load<Real>(at.r_u + i - 1),
                                     load<Real>(at.r_p + i - 1), load<Real>(at.r_Y + i - 1)};
          const Primitive<Real> right{load<Real>(at.l_rho + i), load<Real>(at.l_u + i),
                                      load<Real>(at.l_p + i), load<Real>(at.l_Y + i)};
          const Flux<Real> f = NumericalFlux::between(local_gas, left, right);
          store(at.f_mass + i, f.mass);
          store(at.f_momentum + i, f.momentum);
          store(at.f_energy + i, f.energy);
          store(at.f_burnt + i, f.burnt);
        });
  }

  static Duct::WaveSpeedCheck apply(const Duct::Pointers& at, std::size_t cells, const Gas& gas,
                                    double dt) {
    const GasModel local_gas(gas);
    const Duct::Pointers d = at;
    Duct::WaveSpeedCheck check;
    for_each_cell<Width>(
        0, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          check.add(apply_cell<Real>(d, local_gas, dt, i));
        });
    return check;
  }

  // The cells i .. i + lanes<Real> - 1, which the loops above run over the pipe.
  template <class Real>
  PULSEWRIGHT_INLINE static bool predict_cell(const Duct::Pointers& d, const GasModel& gas,
                                              double dt, std::size_t i) {
    const auto at = [&](const double* w) __attribute__((always_inline)) {
      return load<Real>(w + i);
    };
    const auto beside = [&](std::ptrdiff_t by) __attribute__((always_inline)) {
      return Primitive<Real>{load<Real>(d.rho + i + by), load<Real>(d.u + i + by),
                             load<Real>(d.p + i + by), load<Real>(d.Y + i + by)};
    };
    const CellBefore<Real> cell{beside(0),           at(d.T),       at(d.inverse_rho),
                                at(d.gamma_less_1),  at(d.laminar), at(d.turbulent),
                                at(d.exchange),      at(d.T_wall),  at(d.area_rise),
                                at(d.inverse_volume)};
    const CellPredicted<Real> w =
        predicted<Model, Limiter>(gas, dt, 0.5 * dt / d.dx, beside(-1), cell, beside(1));
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
    return any(w.fell_back);
  }

  template <class Real>
  PULSEWRIGHT_INLINE static Duct::StoredState<Real> apply_cell(const Duct::Pointers& d,
                                                               const GasModel& gas, double dt,
                                                               std::size_t i) {
    const auto at = [&](const double* w) __attribute__((always_inline)) {
      return load<Real>(w + i);
    };
    const auto flux = [&](std::size_t by) __attribute__((always_inline)) {
      return Flux<Real>{load<Real>(d.f_mass + i + by), load<Real>(d.f_momentum + i + by),
                        load<Real>(d.f_energy + i + by), load<Real>(d.f_burnt + i + by)};
    };
    const CellContent<Real> q = updated<Model>(
        dt, {at(d.rho), at(d.momentum), at(d.energy_density), at(d.burnt_density), at(d.heat_sum)},
        at(d.face_area), load<Real>(d.face_area + i + 1), at(d.inverse_volume), flux(0), flux(1),
        at(d.h_p), at(d.h_force), at(d.h_heat));
    store(d.next_rho + i, q.rho);
    store(d.next_momentum + i, q.momentum);
    store(d.next_energy + i, q.energy);
    store(d.next_burnt + i, q.burnt);
    store(d.next_heat_sum + i, q.heat_sum);
    return Duct::put_primitives(d, gas, q.rho, q.momentum, q.energy, q.burnt, i);
  }
};

}  // namespace pulsewright::solver
