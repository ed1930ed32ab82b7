// One time step of several pipes side by side: the same cell of every pipe stands in one pack, and
// each pipe has its own time step, length and areas. The same arithmetic as along one pipe
// (pipe_kernels.hpp), so the same bits; no pack is ever half empty, however short the pipes are.
//
// One sweep over the cells does the whole step in place: flux at face i - 2, fan at face i - 1,
// prediction of cell i, state of cell i - 4 and balance of cell i - 3, which hardly wait for each
// other within a turn of the loop, so that the processor works on all of them at once.
#pragma once

#include <cstddef>

#include "solver/pipe/cell_update.hpp"
#include "solver/riemann/fluxes.hpp"

namespace pulsewright::solver {

inline constexpr std::size_t lane_count = 8;  // pipes side by side

// What is stored of a cell, lane_count numbers each; see Pipe. The face is the left one of the
// cell. A cell is a block of these, the pipe a row of blocks, one more before and two behind.
enum class LaneField : std::size_t {
  rho,
  u,
  p,
  burnt_fraction,
  temperature,
  inverse_rho,
  gamma_less_1,
  momentum,
  energy_density,
  burnt_density,
  wall_heat,
  laminar,
  turbulent,
  exchange,
  wall_temperature,
  inverse_volume,
  face_area,
  count
};
inline constexpr std::size_t lane_block = static_cast<std::size_t>(LaneField::count) * lane_count;

// A number for each pipe.
struct alignas(64) LaneValues {
  double at[lane_count];
};

// Time steps, s, and those over twice the length of the cells, s/m.
struct LaneTimeSteps {
  LaneValues dt, half;
};

// What the two ends see: state at the half of the time step.
struct LaneEndStates {
  Primitive<LaneValues> left, right;
};
// And what they answer.
struct LaneEndFluxes {
  Flux<LaneValues> left, right;
};

struct EnsembleStepResult {
  LaneValues fastest;                    // m/s, greatest |u| + c after the step
  LaneValues bad;                        // not 0: a state that is none
  LaneValues used_first_order_fallback;  // not 0: the fall-back near vacuum acted somewhere
};

// The functions take the block of cell 0.
struct EnsembleKernelTable {
  void (*predict_ends)(const double* first, std::size_t cells, const Gas& gas,
                       const LaneTimeSteps& steps, LaneEndStates& ends);
  void (*advance)(double* first, std::size_t cells, const Gas& gas, const LaneTimeSteps& steps,
                  const LaneEndFluxes& fluxes, EnsembleStepResult& outcome);
};

template <class Model, class NumericalFlux, class Limiter, class Width>
class EnsembleKernels {
 public:
  using GasModel = typename Model::GasModel;

  static constexpr EnsembleKernelTable table() { return {&predict_ends, &advance}; }

  static void predict_ends(const double* first, std::size_t cells, const Gas& gas,
                           const LaneTimeSteps& steps, LaneEndStates& ends) {
    for (std::size_t lane = 0; lane < lane_count; lane += lanes<Width>) {
      const Sweep<const double> sweep(first + lane, cells, gas, steps, lane);
      put(ends.left, lane, sweep.predict(sweep.beyond_left(), 0, sweep.state(1)).left);
      put(ends.right, lane,
          sweep.predict(sweep.state(cells - 2), cells - 1, sweep.beyond_right()).right);
    }
  }

  static void advance(double* first, std::size_t cells, const Gas& gas, const LaneTimeSteps& steps,
                      const LaneEndFluxes& fluxes, EnsembleStepResult& outcome) {
    for (std::size_t lane = 0; lane < lane_count; lane += lanes<Width>) {
      advance_lanes(first + lane, cells, gas, steps, fluxes, outcome, lane);
    }
  }

 private:
  using Real = Width;
  using State = Primitive<Real>;
  using Mask = decltype(Real() > Real());

  PULSEWRIGHT_INLINE static Real take(const LaneValues& from, std::size_t lane) {
    return load<Real>(from.at + lane);
  }
  PULSEWRIGHT_INLINE static void put(Primitive<LaneValues>& to, std::size_t lane, const State& w) {
    store(to.rho.at + lane, w.rho);
    store(to.u.at + lane, w.u);
    store(to.p.at + lane, w.p);
    store(to.Y.at + lane, w.Y);
  }
  PULSEWRIGHT_INLINE static Flux<Real> take(const Flux<LaneValues>& from, std::size_t lane) {
    return {take(from.mass, lane), take(from.momentum, lane), take(from.energy, lane),
            take(from.burnt, lane)};
  }

  // The cells of one pack of pipes.
  template <class Number>
  struct Sweep {
    PULSEWRIGHT_INLINE Sweep(Number* at_first, std::size_t number, const Gas& the_gas,
                             const LaneTimeSteps& steps, std::size_t lane)
        : first(at_first),
          cells(number),
          gas(the_gas),
          dt(take(steps.dt, lane)),
          half(take(steps.half, lane)) {}

    Number* first;
    std::size_t cells;
    GasModel gas;
    Real dt, half;

    PULSEWRIGHT_INLINE Number* place(LaneField field, std::size_t i) const {
      return first + i * lane_block + static_cast<std::size_t>(field) * lane_count;
    }
    PULSEWRIGHT_INLINE Real at(LaneField field, std::size_t i) const {
      return load<Real>(place(field, i));
    }
    PULSEWRIGHT_INLINE State state(std::size_t i) const {
      using F = LaneField;
      return {at(F::rho, i), at(F::u, i), at(F::p, i), at(F::burnt_fraction, i)};
    }
    // What the limiter sees beyond the ends, as in PipeUpdate.
    PULSEWRIGHT_INLINE State beyond_left() const { return beyond(state(0), state(1), state(2)); }
    PULSEWRIGHT_INLINE State beyond_right() const {
      return beyond(state(cells - 1), state(cells - 2), state(cells - 3));
    }
    PULSEWRIGHT_INLINE static State beyond(const State& a, const State& b, const State& c) {
      return {a.rho - (c.rho - b.rho), a.u - (c.u - b.u), a.p - (c.p - b.p), a.Y - (c.Y - b.Y)};
    }
    PULSEWRIGHT_INLINE CellPredicted<Real> predict(const State& before, std::size_t i,
                                                   const State& after) const {
      return predict(before, state(i), i, after);
    }
    PULSEWRIGHT_INLINE CellPredicted<Real> predict(const State& before, const State& own,
                                                   std::size_t i, const State& after) const {
      using F = LaneField;
      const CellBefore<Real> cell{own,
                                  at(F::temperature, i),
                                  at(F::inverse_rho, i),
                                  at(F::gamma_less_1, i),
                                  at(F::laminar, i),
                                  at(F::turbulent, i),
                                  at(F::exchange, i),
                                  at(F::wall_temperature, i),
                                  Real(at(F::face_area, i + 1) - at(F::face_area, i)),
                                  at(F::inverse_volume, i)};
      return predicted<Model, Limiter>(gas, dt, half, before, cell, after);
    }
    PULSEWRIGHT_INLINE CellContent<Real> balance(std::size_t i, const Flux<Real>& left,
                                                 const Flux<Real>& right,
                                                 const CellPredicted<Real>& middle) const {
      using F = LaneField;
      const CellContent<Real> old{at(F::rho, i), at(F::momentum, i), at(F::energy_density, i),
                                  at(F::burnt_density, i), at(F::wall_heat, i)};
      return updated<Model>(dt, old, at(F::face_area, i), at(F::face_area, i + 1),
                            at(F::inverse_volume, i), left, right, middle.p, middle.force,
                            middle.heat);
    }
  };

  struct Checks {
    Real fastest = 0.0;
    Mask bad = Real(0.0) > Real(0.0);
    Mask used_first_order_fallback = Real(0.0) > Real(0.0);
  };

  PULSEWRIGHT_INLINE static void finish(const Sweep<double>& sweep, std::size_t i,
                                        const CellContent<Real>& q, Checks& checks) {
    using F = LaneField;
    const CellState<Real> w = cell_state(sweep.gas, q.rho, q.momentum, q.energy, q.burnt);
    store(sweep.place(F::rho, i), q.rho);
    store(sweep.place(F::momentum, i), q.momentum);
    store(sweep.place(F::energy_density, i), q.energy);
    store(sweep.place(F::burnt_density, i), q.burnt);
    store(sweep.place(F::wall_heat, i), q.wall_heat);
    store(sweep.place(F::u, i), w.u);
    store(sweep.place(F::p, i), w.p);
    store(sweep.place(F::burnt_fraction, i), w.Y);
    store(sweep.place(F::temperature, i), w.T);
    store(sweep.place(F::inverse_rho, i), w.inverse_rho);
    store(sweep.place(F::gamma_less_1, i), w.gamma_less_1);
    const Real speed = abs(w.u) + w.c;
    // written so that a NaN counts as bad
    checks.bad = checks.bad || !(q.rho > 0.0) || !(w.T > 0.0) || !(speed < 1e5);
    checks.fastest = max(checks.fastest, speed);
  }

  static void advance_lanes(double* first, std::size_t cells, const Gas& gas,
                            const LaneTimeSteps& steps, const LaneEndFluxes& fluxes,
                            EnsembleStepResult& outcome, std::size_t lane) {
    const Sweep<double> sweep(first, cells, gas, steps, lane);
    Checks checks;
    const State end = sweep.beyond_right();
    const auto predict = [&](const State& before, const State& own, std::size_t i,
                             const State& after) __attribute__((always_inline)) {
      const CellPredicted<Real> w = sweep.predict(before, own, i, after);
      checks.used_first_order_fallback =
          checks.used_first_order_fallback || w.used_first_order_fallback;
      return w;
    };
    const auto fan = [&](const CellPredicted<Real>& left, const CellPredicted<Real>& right)
        __attribute__((always_inline)) {
      return fan_between(sweep.gas, left.right, right.left);
    };
    const auto face = [&](const Fan<Real>& waves, const CellPredicted<Real>& left,
                          const CellPredicted<Real>& right) __attribute__((always_inline)) {
      return NumericalFlux::through(waves, left.right, right.left);
    };
    // At the start of turn i: before, own and after = cells i - 1 to i + 1; oldest, older and old =
    // prediction of cells i - 3 to i - 1; waves = fan at face i - 2; left = flux at face i - 3;
    // ready = balance of cell i - 4.
    using Prediction = CellPredicted<Real>;
    State before = sweep.state(2);
    State own = sweep.state(3);
    State after = cells > 4 ? sweep.state(4) : end;
    Prediction oldest = predict(sweep.beyond_left(), sweep.state(0), 0, sweep.state(1));
    Prediction older = predict(sweep.state(0), sweep.state(1), 1, before);
    Prediction old = predict(sweep.state(1), before, 2, own);
    Prediction next;
    Fan<Real> waves = fan(oldest, older);
    Flux<Real> left = take(fluxes.left, lane);
    Flux<Real> right;
    CellContent<Real> ready;
    const auto move_on = [&]() __attribute__((always_inline)) {
      left = right;
      oldest = older;
      older = old;
      old = next;
      before = own;
      own = after;
    };
    // With other names for what moves on; leaves its flux and its prediction in the last of each.
    const auto turn = [&](std::size_t i, const Prediction& cell_3, const Prediction& cell_2,
                          const Prediction& cell_1, Prediction& cell, const State& w_1,
                          const State& w, const State& w1, const Flux<Real>& flux_3,
                          Flux<Real>& flux_2) __attribute__((always_inline)) {
      flux_2 = face(waves, cell_3, cell_2);
      waves = fan(cell_2, cell_1);
      cell = predict(w_1, w, i, w1);
      finish(sweep, i - 4, ready, checks);
      ready = sweep.balance(i - 3, flux_3, flux_2, cell_3);
    };
    // The first turn has nothing to finish.
    right = face(waves, oldest, older);
    waves = fan(older, old);
    next = predict(before, own, 3, after);
    ready = sweep.balance(0, left, right, oldest);
    move_on();
    std::size_t i = 4;
    // Four turns at a time, so that nothing has to move on within them.
    State beyond;
    for (; i + 4 < cells; i += 4) {
      after = sweep.state(i + 1);
      turn(i, oldest, older, old, next, before, own, after, left, right);
      beyond = sweep.state(i + 2);
      turn(i + 1, older, old, next, oldest, own, after, beyond, right, left);
      before = sweep.state(i + 3);
      turn(i + 2, old, next, oldest, older, after, beyond, before, left, right);
      own = sweep.state(i + 4);
      turn(i + 3, next, oldest, older, old, beyond, before, own, right, left);
    }
    for (; i < cells; ++i) {
      after = i + 1 < cells ? sweep.state(i + 1) : end;
      turn(i, oldest, older, old, next, before, own, after, left, right);
      move_on();
    }
    finish(sweep, cells - 4, ready, checks);
    const Flux<Real> second = face(waves, oldest, older);
    finish(sweep, cells - 3, sweep.balance(cells - 3, left, second, oldest), checks);
    const Flux<Real> last = face(fan(older, old), older, old);
    finish(sweep, cells - 2, sweep.balance(cells - 2, second, last, older), checks);
    finish(sweep, cells - 1, sweep.balance(cells - 1, last, take(fluxes.right, lane), old), checks);

    store(outcome.fastest.at + lane, checks.fastest);
    store(outcome.bad.at + lane, select(checks.bad, Real(1.0), Real(0.0)));
    store(outcome.used_first_order_fallback.at + lane,
          select(checks.used_first_order_fallback, Real(1.0), Real(0.0)));
  }
};

}  // namespace pulsewright::solver
