// One time step of an ensemble of pipes: the same cell of every pipe is in one pack, one pipe
// per lane, and each pipe has its own time step, length and areas. The same arithmetic as along one
// pipe (pipe_kernels.hpp), so the same bits; no pack is ever half empty, however short the pipes
// are.
//
// One software-pipelined sweep over the cells does the whole step in place. Its stages, iteration
// i: flux at face i - 2, wave speeds at face i - 1, predictor of cell i, new state of cell i - 4,
// corrector of cell i - 3; they hardly depend on each other within an iteration, so that the
// processor overlaps them.
#pragma once

#include <cstddef>

#include "solver/pipe/cell_fields.hpp"
#include "solver/pipe/cell_update.hpp"
#include "solver/pipe/state_check.hpp"
#include "solver/riemann/fluxes.hpp"

namespace pulsewright::solver {

inline constexpr std::size_t ensemble_size = widest_lanes;  // pipes

// Storage of a cell: a block of the EnsembleFields, ensemble_size numbers each. A pipe is a
// row of blocks, with one more for the ghost values at either end.
inline constexpr std::size_t ensemble_block = field_count<EnsembleFields> * ensemble_size;

// A number for each pipe.
struct alignas(64) EnsembleValues {
  double at[ensemble_size];
};

// Time steps, s, and those over twice the length of the cells, s/m.
struct EnsembleTimeSteps {
  EnsembleValues dt, half;
};

// State at the two ends, half a time step later.
struct EnsembleEndStates {
  Primitive<EnsembleValues> left, right;
};
// And the fluxes that the boundary conditions apply there.
struct EnsembleEndFluxes {
  Flux<EnsembleValues> left, right;
};

struct EnsembleStepResult {
  EnsembleValues fastest;                    // m/s, greatest |u| + c after the step
  EnsembleValues bad;                        // not 0: a state is not valid
  EnsembleValues used_first_order_fallback;  // not 0: the first-order fallback acted somewhere
};

// The functions take the block of cell 0.
struct EnsembleKernelTable {
  void (*predict_ends)(const double* first, std::size_t cells, const Gas& gas,
                       const EnsembleTimeSteps& steps, EnsembleEndStates& ends);
  void (*advance)(double* first, std::size_t cells, const Gas& gas, const EnsembleTimeSteps& steps,
                  const EnsembleEndFluxes& fluxes, EnsembleStepResult& outcome);
};

template <class Model, class NumericalFlux, class Limiter, class PackType>
class EnsembleKernels {
 public:
  using GasModel = typename Model::GasModel;

  static constexpr EnsembleKernelTable table() { return {&predict_ends, &advance}; }

  static void predict_ends(const double* first, std::size_t cells, const Gas& gas,
                           const EnsembleTimeSteps& steps, EnsembleEndStates& ends) {
    for (std::size_t lane = 0; lane < ensemble_size; lane += lanes<PackType>) {
      const Sweep<const double> sweep(first + lane, cells, gas, steps, lane);
      put(ends.left, lane, sweep.predict(sweep.beyond_left(), 0, sweep.state(1)).left);
      put(ends.right, lane,
          sweep.predict(sweep.state(cells - 2), cells - 1, sweep.beyond_right()).right);
    }
  }

  static void advance(double* first, std::size_t cells, const Gas& gas,
                      const EnsembleTimeSteps& steps, const EnsembleEndFluxes& fluxes,
                      EnsembleStepResult& outcome) {
    for (std::size_t lane = 0; lane < ensemble_size; lane += lanes<PackType>) {
      advance_lanes(first + lane, cells, gas, steps, fluxes, outcome, lane);
    }
  }

 private:
  using Real = PackType;
  using State = Primitive<Real>;
  using Mask = decltype(Real() > Real());
  static constexpr EnsembleFields<std::size_t> of = field_number<EnsembleFields>;

  PULSEWRIGHT_INLINE static Real take(const EnsembleValues& from, std::size_t lane) {
    return load<Real>(from.at + lane);
  }
  PULSEWRIGHT_INLINE static void put(Primitive<EnsembleValues>& to, std::size_t lane,
                                     const State& w) {
    store(to.rho.at + lane, w.rho);
    store(to.u.at + lane, w.u);
    store(to.p.at + lane, w.p);
    store(to.Y.at + lane, w.Y);
  }
  PULSEWRIGHT_INLINE static Flux<Real> take(const Flux<EnsembleValues>& from, std::size_t lane) {
    return {take(from.mass, lane), take(from.momentum, lane), take(from.energy, lane),
            take(from.burnt, lane)};
  }

  // The cells of one pack of pipes.
  template <class Number>
  struct Sweep {
    PULSEWRIGHT_INLINE Sweep(Number* at_first, std::size_t number, const Gas& the_gas,
                             const EnsembleTimeSteps& steps, std::size_t lane)
        : first(at_first),
          cells(number),
          gas(the_gas),
          dt(take(steps.dt, lane)),
          half(take(steps.half, lane)) {}

    Number* first;
    std::size_t cells;
    GasModel gas;
    Real dt, half;

    // Field number `number` of cell i.
    PULSEWRIGHT_INLINE Number* place(std::size_t number, std::size_t i) const {
      return first + i * ensemble_block + number * ensemble_size;
    }
    PULSEWRIGHT_INLINE Real at(std::size_t number, std::size_t i) const {
      return load<Real>(place(number, i));
    }
    PULSEWRIGHT_INLINE State state(std::size_t i) const {
      return {at(of.rho, i), at(of.u, i), at(of.p, i), at(of.Y, i)};
    }
    // What the limiter sees beyond the ends, as in PipeUpdate.
    PULSEWRIGHT_INLINE State beyond_left() const { return beyond(state(0), state(1), state(2)); }
    PULSEWRIGHT_INLINE State beyond_right() const {
      return beyond(state(cells - 1), state(cells - 2), state(cells - 3));
    }
    PULSEWRIGHT_INLINE static State beyond(const State& a, const State& b, const State& c) {
      return {a.rho - (c.rho - b.rho), a.u - (c.u - b.u), a.p - (c.p - b.p), a.Y - (c.Y - b.Y)};
    }
    PULSEWRIGHT_INLINE CellMidpoint<Real> predict(const State& before, std::size_t i,
                                                  const State& after) const {
      return predict(before, state(i), i, after);
    }
    PULSEWRIGHT_INLINE CellMidpoint<Real> predict(const State& before, const State& own,
                                                  std::size_t i, const State& after) const {
      const CellStart<Real> cell{own,
                                 at(of.T, i),
                                 at(of.inverse_rho, i),
                                 at(of.gamma_less_1, i),
                                 at(of.laminar, i),
                                 at(of.turbulent, i),
                                 at(of.heat_transfer, i),
                                 at(of.T_wall, i),
                                 Real(at(of.face_area, i + 1) - at(of.face_area, i)),
                                 at(of.inverse_volume, i)};
      return predictor<Model, Limiter>(gas, dt, half, before, cell, after);
    }
    PULSEWRIGHT_INLINE CellContent<Real> correct(std::size_t i, const Flux<Real>& left,
                                                 const Flux<Real>& right,
                                                 const CellMidpoint<Real>& middle) const {
      const CellContent<Real> old{at(of.rho, i), at(of.momentum, i), at(of.energy_density, i),
                                  at(of.burnt_density, i), at(of.wall_heat, i)};
      return corrector<Model>(dt, old, at(of.face_area, i), at(of.face_area, i + 1),
                              at(of.inverse_volume, i), left, right, middle.p, middle.force,
                              middle.heat);
    }
  };

  struct Checks : StateChecks<Real> {
    Mask used_first_order_fallback = Real(0.0) > Real(0.0);
  };

  PULSEWRIGHT_INLINE static void finish(const Sweep<double>& sweep, std::size_t i,
                                        const CellContent<Real>& q, Checks& checks) {
    const CellState<Real> w = cell_state(sweep.gas, q.rho, q.momentum, q.energy, q.burnt);
    store(sweep.place(of.rho, i), q.rho);
    store(sweep.place(of.momentum, i), q.momentum);
    store(sweep.place(of.energy_density, i), q.energy);
    store(sweep.place(of.burnt_density, i), q.burnt);
    store(sweep.place(of.wall_heat, i), q.wall_heat);
    store(sweep.place(of.u, i), w.u);
    store(sweep.place(of.p, i), w.p);
    store(sweep.place(of.Y, i), w.Y);
    store(sweep.place(of.T, i), w.T);
    store(sweep.place(of.inverse_rho, i), w.inverse_rho);
    store(sweep.place(of.gamma_less_1, i), w.gamma_less_1);
    checks.add(q.rho, w.T, Real(abs(w.u) + w.c));
  }

  static void advance_lanes(double* first, std::size_t cells, const Gas& gas,
                            const EnsembleTimeSteps& steps, const EnsembleEndFluxes& fluxes,
                            EnsembleStepResult& outcome, std::size_t lane) {
    const Sweep<double> sweep(first, cells, gas, steps, lane);
    Checks checks;
    const State end = sweep.beyond_right();
    const auto predict = [&](const State& before, const State& own, std::size_t i,
                             const State& after) __attribute__((always_inline)) {
      const CellMidpoint<Real> w = sweep.predict(before, own, i, after);
      checks.used_first_order_fallback =
          checks.used_first_order_fallback || w.used_first_order_fallback;
      return w;
    };
    const auto fan = [&](const CellMidpoint<Real>& left, const CellMidpoint<Real>& right)
        __attribute__((always_inline)) {
      return fan_between(sweep.gas, left.right, right.left);
    };
    const auto face = [&](const Fan<Real>& waves, const CellMidpoint<Real>& left,
                          const CellMidpoint<Real>& right) __attribute__((always_inline)) {
      return NumericalFlux::through(waves, left.right, right.left);
    };
    // At the start of iteration i: before, own and after = cells i - 1 to i + 1; oldest, older and
    // old = midpoints of cells i - 3 to i - 1; waves = fan at face i - 2; left = flux at face i -
    // 3; ready = content of cell i - 4 after the step.
    using Midpoint = CellMidpoint<Real>;
    State before = sweep.state(2);
    State own = sweep.state(3);
    State after = cells > 4 ? sweep.state(4) : end;
    Midpoint oldest = predict(sweep.beyond_left(), sweep.state(0), 0, sweep.state(1));
    Midpoint older = predict(sweep.state(0), sweep.state(1), 1, before);
    Midpoint old = predict(sweep.state(1), before, 2, own);
    Midpoint next;
    Fan<Real> waves = fan(oldest, older);
    Flux<Real> left = take(fluxes.left, lane);
    Flux<Real> right;
    CellContent<Real> ready;
    const auto shift = [&]() __attribute__((always_inline)) {
      left = right;
      oldest = older;
      older = old;
      old = next;
      before = own;
      own = after;
    };
    // One iteration: with other names for what is shifted; leaves its flux and its midpoint in the
    // last of each.
    const auto iterate = [&](std::size_t i, const Midpoint& cell_3, const Midpoint& cell_2,
                             const Midpoint& cell_1, Midpoint& cell, const State& w_1,
                             const State& w, const State& w1, const Flux<Real>& flux_3,
                             Flux<Real>& flux_2) __attribute__((always_inline)) {
      flux_2 = face(waves, cell_3, cell_2);
      waves = fan(cell_2, cell_1);
      cell = predict(w_1, w, i, w1);
      finish(sweep, i - 4, ready, checks);
      ready = sweep.correct(i - 3, flux_3, flux_2, cell_3);
    };
    // The first iteration completes no cell.
    right = face(waves, oldest, older);
    waves = fan(older, old);
    next = predict(before, own, 3, after);
    ready = sweep.correct(0, left, right, oldest);
    shift();
    std::size_t i = 4;
    // Four iterations at a time, so that nothing has to be shifted within them.
    State beyond;
    for (; i + 4 < cells; i += 4) {
      after = sweep.state(i + 1);
      iterate(i, oldest, older, old, next, before, own, after, left, right);
      beyond = sweep.state(i + 2);
      iterate(i + 1, older, old, next, oldest, own, after, beyond, right, left);
      before = sweep.state(i + 3);
      iterate(i + 2, old, next, oldest, older, after, beyond, before, left, right);
      own = sweep.state(i + 4);
      iterate(i + 3, next, oldest, older, old, beyond, before, own, right, left);
    }
    for (; i < cells; ++i) {
      after = i + 1 < cells ? sweep.state(i + 1) : end;
      iterate(i, oldest, older, old, next, before, own, after, left, right);
      shift();
    }
    finish(sweep, cells - 4, ready, checks);
    const Flux<Real> second = face(waves, oldest, older);
    finish(sweep, cells - 3, sweep.correct(cells - 3, left, second, oldest), checks);
    const Flux<Real> last = face(fan(older, old), older, old);
    finish(sweep, cells - 2, sweep.correct(cells - 2, second, last, older), checks);
    finish(sweep, cells - 1, sweep.correct(cells - 1, last, take(fluxes.right, lane), old), checks);

    store(outcome.fastest.at + lane, checks.fastest);
    store(outcome.bad.at + lane, select(checks.bad, Real(1.0), Real(0.0)));
    store(outcome.used_first_order_fallback.at + lane,
          select(checks.used_first_order_fallback, Real(1.0), Real(0.0)));
  }
};

}  // namespace pulsewright::solver
