// One pipe by the method of characteristics with ends of models/opening.hpp, for the cases here.
#pragma once

#include <cmath>
#include <functional>
#include <utility>

#include "models/opening.hpp"
#include "solver/characteristics.hpp"

namespace pulsewright::validation {

class Line {
 public:
  using State = std::function<solver::Primitive<double>(double)>;
  using EndLaw = std::function<models::EndFlux<double>(const solver::EndWave<double>&)>;

  // initial: state by place (m).
  Line(const solver::Gas& gas, const solver::Duct& duct, const State& initial, EndLaw left,
       EndLaw right)
      : gas_(gas),
        duct_(filled(gas, duct, initial)),
        left_(std::move(left)),
        right_(std::move(right)),
        pipe_(duct_, gas_) {
    pipe_.fill(gas_, initial);
  }

  void step(double dt) {
    pipe_.predict_ends(gas_, duct_, dt);
    pipe_.set_left(models::state_at_end(gas_, left_({gas_, pipe_.left_end(), 1.0}), 1.0));
    pipe_.set_right(models::state_at_end(gas_, right_({gas_, pipe_.right_end(), -1.0}), -1.0));
    pipe_.advance(gas_, dt);
    time_ += dt;
  }
  // `watch` is called after each step.
  void run_until(double time, double courant = 0.9, const std::function<void()>& watch = {}) {
    while (time - time_ > 1e-12 * time) {
      const double left = time - time_;
      const double largest = courant * duct_.dx() / pipe_.fastest();
      step(left / std::ceil(left / largest));
      if (watch) watch();
    }
  }

  double time() const { return time_; }
  // Friction and heat coefficients may be set here.
  solver::Duct& duct() { return duct_; }
  const solver::CharacteristicPipe& pipe() const { return pipe_; }

 private:
  static solver::Duct filled(const solver::Gas& gas, solver::Duct duct, const State& initial) {
    duct.fill(gas, initial);
    return duct;
  }

  solver::Gas gas_;
  solver::Duct duct_;
  EndLaw left_, right_;
  solver::CharacteristicPipe pipe_;
  double time_ = 0;
};

}  // namespace pulsewright::validation
