// Pipes without an engine, stepped by the caller, and the states of simple waves to drive
// them with.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "models/boundary/orifice.hpp"
#include "models/network/specification.hpp"
#include "models/network/time_step.hpp"

namespace pulsewright::validation {

inline solver::Gas constant_gamma_gas(double gamma = 1.4, double R = 287.05) {
  const auto c = solver::constituent_of_constant_gamma(gamma, R);
  return {c, c};
}

// Without friction and heat transfer.
inline models::PipeSpecification smooth_pipe(std::string name, double length, double diameter,
                                             double cell_size) {
  models::PipeSpecification pipe;
  pipe.name = std::move(name);
  pipe.length = length;
  pipe.profile = {{0.0, diameter}};
  pipe.friction = false;
  pipe.heat = models::PipeHeatLaw::none;
  pipe.cell_size = cell_size;
  return pipe;
}

// Air outside, where a check needs no other.
inline constexpr double p_atm = 101325;  // Pa
inline constexpr double T_atm = 293.15;  // K

// X = (p/p0)^((gamma-1)/(2 gamma)) of Blair (1999), chapter 2, and back.
inline double wave_amplitude(double ratio, double gamma) {
  return std::pow(ratio, 0.5 * (gamma - 1.0) / gamma);
}
inline double wave_pressure_ratio(double X, double gamma) {
  return std::pow(X, 2.0 * gamma / (gamma - 1.0));
}

// The state at a left end when a simple wave of pressure ratio `ratio` on gas at rest (p0, T0)
// arrives.
inline solver::EndWave<double> wave_at_left_end(const solver::Gas& gas, double p0, double T0,
                                                double ratio) {
  const double gamma = gas.gamma(T0, 0.0);
  const double X = wave_amplitude(ratio, gamma);
  const double u = -2.0 * gas.sound_speed(T0, 0.0) / (gamma - 1.0) * (X - 1.0);
  const double p = ratio * p0;
  return {gas, solver::Primitive<double>{p / (gas.gas_constant(0.0) * T0 * X * X), u, p, 0.0}, 1.0};
}

class PipeRig {
 public:
  PipeRig(const models::EngineSpecification& spec, const solver::Gas& gas,
          models::Method method = models::Method::finite_volume)
      : network_(spec, gas, models::LimiterChoice::monotonized_central, method) {
    stepper_.assign(0, network_);
  }

  void step(double dt) { models::step_alone(stepper_, {dt}); }
  // Steps at the Courant number until the time (s); `watch` is called after each step.
  void run_until(double time, const std::function<void()>& watch = {}, double courant = 0.8) {
    while (this->time() < time) {
      step(std::min(network_.stable_step(courant), time - this->time() + 1e-12));
      if (watch) watch();
    }
  }

  models::Network& network() { return network_; }
  const solver::Pipe& pipe(std::size_t i) const { return network_.pipes()[i]; }
  double time() const { return network_.time(); }
  // What came in through the orifice and prescribed ends: kg, kg, J.
  models::Content taken() const {
    models::Content sum;
    const auto add = [&](const auto& ends) {
      for (const auto& end : ends) {
        sum.mass -= end.outflow().mass;
        sum.burnt -= end.outflow().burnt;
        sum.energy -= end.outflow().energy;
      }
    };
    add(network_.boundaries().of<models::OrificeEnd>());
    add(network_.boundaries().of<models::PrescribedEnd>());
    return sum;
  }

 private:
  models::Network network_;
  models::TimeStepper stepper_;
};

// Gas at rest at the pressure of time t lies beyond the end: sends a wave of X_1 = (1 + X(t)) / 2
// into the pipe at that end and lets what comes back pass.
inline models::EngineSpecification with_wave(models::EngineSpecification spec,
                                             const models::PipeEnd& end,
                                             models::CourseInTime pressure) {
  spec.prescribed_ends.push_back({end, models::PrescribedQuantity::wave, std::move(pressure)});
  return spec;
}

// One smooth pulse of the given height and duration on p0: p0 + height sin^2(pi t / duration).
inline std::function<double(double)> pulse(double p0, double height, double duration) {
  return [=](double t) {
    if (t <= 0 || t >= duration) return p0;
    const double s = std::sin(std::numbers::pi * t / duration);
    return p0 + height * s * s;
  };
}

}  // namespace pulsewright::validation
