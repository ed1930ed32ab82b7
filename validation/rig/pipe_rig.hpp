// Pipes without an engine: a network some of whose ends the caller drives, and the
// states of simple waves to drive it with.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "models/boundary/orifice.hpp"
#include "models/network/network.hpp"
#include "models/network/specification.hpp"

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

// Diameter of the circle of that area.
inline double diameter_of(double area) { return std::sqrt(4.0 * area / std::numbers::pi); }

// X = (p/p0)^((gamma-1)/(2 gamma)) of Blair (1999), chapter 2, and back.
inline double wave_amplitude(double ratio, double gamma) {
  return std::pow(ratio, 0.5 * (gamma - 1.0) / gamma);
}
inline double wave_pressure_ratio(double X, double gamma) {
  return std::pow(X, 2.0 * gamma / (gamma - 1.0));
}

// What a left end sees when a simple wave of pressure ratio `ratio` on gas at rest (p0, T0)
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
  // Flux into the pipe for the wave at its end at time t (s).
  using Drive = std::function<models::EndFlux<double>(const solver::EndWave<double>&, double)>;
  struct DrivenEnd {
    models::PipeEnd end;
    Drive drive;
  };

  // The ends named in `driven` belong to the caller; all others must be used in the specification.
  PipeRig(const models::EngineSpecification& spec, const solver::Gas& gas,
          std::vector<DrivenEnd> driven = {}, models::Method method = models::Method::finite_volume)
      : driven_(std::move(driven)),
        network_(with_driven_ends(spec, driven_), gas, models::LimiterChoice::monotonized_central,
                 method) {}

  void step(double dt) {
    network_.predict(dt);
    for (std::size_t i = 0; i < driven_.size(); ++i) {
      const auto& end = driven_[i].end;
      const auto flux = driven_[i].drive(network_.wave(end), time_ + 0.5 * dt);
      const double area = network_.end_area(end);
      taken_.mass += dt * area * flux.mass;
      taken_.burnt += dt * area * flux.burnt;
      taken_.energy += dt * area * flux.energy;
      network_.set_flux(end, flux);
    }
    if (driven_.size() % 2 == 1) {
      const models::PipeEnd spare{static_cast<int>(network_.pipes().size()) - 1,
                                  models::Side::left};
      network_.set_flux(spare, models::flow_at_wall(network_.wave(spare)));
    }
    network_.close_ends(dt, orifices_);
    network_.advance(dt);
    time_ += dt;
  }
  // Steps at the Courant number until the time (s); `watch` is called after each step.
  void run_until(double time, const std::function<void()>& watch = {}, double courant = 0.8) {
    while (time_ < time) {
      step(std::min(network_.stable_step(courant), time - time_ + 1e-12));
      if (watch) watch();
    }
  }

  models::Network& network() { return network_; }
  const solver::Pipe& pipe(std::size_t i) const { return network_.pipes()[i]; }
  double time() const { return time_; }
  // What came in through the driven ends: kg, kg, J.
  const models::Content& taken() const { return taken_; }

 private:
  // Ends of cylinders count as used and are left to the caller by the network. They come in pairs:
  // an odd one gets a short closed pipe as its partner, in which nothing moves.
  static models::EngineSpecification with_driven_ends(models::EngineSpecification spec,
                                                      const std::vector<DrivenEnd>& driven) {
    std::vector<models::PipeEnd> ends;
    for (const auto& d : driven) ends.push_back(d.end);
    if (ends.size() % 2 == 1) {
      const int spare = static_cast<int>(spec.pipes.size());
      spec.pipes.push_back(smooth_pipe("spare", 1.0, 0.01, 0.25));
      spec.closed_ends.push_back({{spare, models::Side::right}});
      ends.push_back({spare, models::Side::left});
    }
    for (std::size_t i = 0; i + 1 < ends.size(); i += 2) {
      models::CylinderSpecification pair;
      pair.exhaust = ends[i];
      pair.intake = ends[i + 1];
      spec.cylinders.push_back(pair);
    }
    return spec;
  }

  std::vector<DrivenEnd> driven_;
  models::Network network_;
  models::OrificeBatch orifices_;
  models::Content taken_;
  double time_ = 0;
};

// Gas at rest at the pressure of time t lies beyond the end: sends a wave of X_1 = (1 + X(t)) / 2
// into the pipe and swallows what comes back.
inline PipeRig::Drive absorbing(const solver::Gas& gas, std::function<double(double)> pressure) {
  return [&gas, pressure = std::move(pressure)](const solver::EndWave<double>& wave, double t) {
    return models::flow_without_reflection(gas, wave, pressure(t));
  };
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
