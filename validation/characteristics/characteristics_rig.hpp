// A single pipe by the method of characteristics, whose two ends are functions that return the
// boundary flux.
//
// It has a step of its own and does not go through models::TimeStepper, because the boundaries of a
// network are specifications: here an end may be any function, the initial state any profile, and
// the nodes themselves can be read, which a network does not show.
#pragma once

#include <cmath>
#include <functional>
#include <utility>

#include "models/boundary/orifice.hpp"
#include "solver/pipe/characteristics.hpp"

namespace pulsewright::validation {

class CharacteristicsRig {
 public:
  using State = std::function<solver::Primitive<double>(double)>;
  using Boundary = std::function<models::EndFlux<double>(const solver::EndWave<double>&)>;

  // initial: state at a position (m).
  CharacteristicsRig(const solver::Gas& gas, const solver::Pipe& pipe, const State& initial,
                     Boundary left, Boundary right)
      : gas_(gas),
        pipe_(filled(gas, pipe, initial)),
        left_(std::move(left)),
        right_(std::move(right)),
        characteristics_(pipe_, gas_) {
    characteristics_.fill(gas_, initial);
  }

  void step(double dt) {
    characteristics_.predict_ends(gas_, pipe_, dt);
    characteristics_.set_left(
        models::state_at_end(gas_, left_({gas_, characteristics_.left_end(), 1.0}), 1.0));
    characteristics_.set_right(
        models::state_at_end(gas_, right_({gas_, characteristics_.right_end(), -1.0}), -1.0));
    characteristics_.advance(gas_, dt);
    time_ += dt;
  }
  // `after_step` is called after each step.
  void run_until(double time, double courant = 0.9, const std::function<void()>& after_step = {}) {
    while (time - time_ > 1e-12 * time) {
      const double left = time - time_;
      const double largest = courant * pipe_.dx() / characteristics_.fastest();
      step(left / std::ceil(left / largest));
      if (after_step) after_step();
    }
  }

  double time() const { return time_; }
  // Friction and heat coefficients may be set here.
  solver::Pipe& pipe() { return pipe_; }
  const solver::CharacteristicPipe& characteristics() const { return characteristics_; }

 private:
  static solver::Pipe filled(const solver::Gas& gas, solver::Pipe pipe, const State& initial) {
    pipe.fill(gas, initial);
    return pipe;
  }

  solver::Gas gas_;
  solver::Pipe pipe_;
  Boundary left_, right_;
  solver::CharacteristicPipe characteristics_;
  double time_ = 0;
};

}  // namespace pulsewright::validation
