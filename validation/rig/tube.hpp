// A single pipe run on its own, with any flux, limiter and ends.
//
// It has a loop of steps of its own and does not go through models::TimeStepper, because it runs
// what a network does not offer: every flux and limiter, periodic ends, ends in which the flux is
// that of the end state.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

#include "models/boundary/orifice.hpp"
#include "solver/pipe/pipe_update.hpp"
#include "solver/riemann/exact.hpp"

namespace pulsewright::validation {

using solver::Flux;
using solver::Gas;
using solver::Pipe;
using solver::Primitive;

// Ideal gas of constant gamma. With R = 1 the states may be those of a dimensionless problem.
inline Gas gas_of_constant_gamma(double gamma, double R = 1.0) {
  const auto one = solver::constituent_of_constant_gamma(gamma, R);
  return {one, one};
}

// Fresh charge and burnt gas of different constant gammas.
inline Gas gas_of_two_gammas(double gamma_fresh, double R_fresh, double gamma_burnt,
                             double R_burnt) {
  return {solver::constituent_of_constant_gamma(gamma_fresh, R_fresh),
          solver::constituent_of_constant_gamma(gamma_burnt, R_burnt)};
}

// Diameter whose circle has the area 1.
inline double unit_diameter() { return 2.0 / std::sqrt(std::numbers::pi); }

inline Pipe straight_pipe(std::size_t cells, double length = 1.0,
                          double diameter = unit_diameter()) {
  return {"tube", length, cells, [=](double) { return diameter; }, {0.0, length}};
}

// ---- Ends: called after the prediction, each sets both end fluxes.

// The gas flows through the ends as it comes: flux of the end state itself.
struct EndsTransmissive {
  const Gas& gas;
  void operator()(Pipe& d) const {
    d.set_flux_left(solver::physical_flux(gas, d.left_end()));
    d.set_flux_right(solver::physical_flux(gas, d.right_end()));
  }
};

struct EndsWall {
  const Gas& gas;
  void operator()(Pipe& d) const {
    d.set_flux_left(models::as_pipe_flux(
        models::flow_at_wall(solver::EndWave<double>(gas, d.left_end(), 1.0)), 1.0));
    d.set_flux_right(models::as_pipe_flux(
        models::flow_at_wall(solver::EndWave<double>(gas, d.right_end(), -1.0)), -1.0));
  }
};

template <class NumericalFlux>
struct EndsPeriodic {
  const Gas& gas;
  void operator()(Pipe& d) const {
    const Flux<double> f = NumericalFlux::between(gas, d.right_end(), d.left_end());
    d.set_flux_left(f);
    d.set_flux_right(f);
  }
};

// From a reservoir at the left through the pipe into a back pressure at the right, lossless.
struct EndsReservoirs {
  const Gas& gas;
  double p0, T0;  // Pa, K, stagnation state at the left
  double p_back;  // Pa
  void operator()(Pipe& d) const {
    const models::Reservoir<double> from{p0, gas.enthalpy(T0, 0.0), 0.0};
    const models::Reservoir<double> into{p_back, gas.enthalpy(T0, 0.0), 0.0};
    d.set_flux_left(models::as_pipe_flux(
        models::flow_through_orifice(gas, solver::EndWave<double>(gas, d.left_end(), 1.0), from,
                                     1.0, 1.0),
        1.0));
    d.set_flux_right(models::as_pipe_flux(
        models::flow_through_orifice(gas, solver::EndWave<double>(gas, d.right_end(), -1.0), into,
                                     1.0, 1.0),
        -1.0));
  }
};

struct Run {
  long steps = 0;
  long fallback_steps = 0;  // steps in which the first-order fallback near vacuum acted
};

// Runs the pipe for a time in s, or for a number of steps, whichever comes first. Compiled once, in
// tube.cpp, for every limiter with FluxHllc and for the monotonized central one with FluxHll.
template <class NumericalFlux, class Limiter>
Run run(Pipe& d, const Gas& gas, double duration, const std::function<void(Pipe&)>& ends,
        double courant = 0.8, long most_steps = 100'000'000);

// ---- Exact cell averages

// Primitive state of the cell averages of mass, momentum and energy of w(x) over [from, to], split
// at the given places, where w may jump; five-point Gauss rule on each piece.
struct AveragedState {
  double rho, u, p;  // p as of a gas of that one gamma
};

template <class Function>
AveragedState cell_average(const Function& w, double gamma, double from, double to,
                           std::vector<double> splits = {}) {
  constexpr double node[3] = {0.0, 0.5384693101056831, 0.9061798459386640};
  constexpr double weight[3] = {0.5688888888888889, 0.4786286704993665, 0.2369268850561891};
  splits.push_back(to);
  std::sort(splits.begin(), splits.end());
  double mass = 0;
  double momentum = 0;
  double total = 0;
  double a = from;
  for (const double split : splits) {
    const double b = std::clamp(split, from, to);
    if (b <= a) continue;
    for (int k = -2; k <= 2; ++k) {
      const auto m = static_cast<std::size_t>(std::abs(k));
      const double x = 0.5 * (a + b) + 0.5 * (b - a) * (k < 0 ? -node[m] : node[m]);
      const double factor = 0.5 * (b - a) * weight[m];
      const AveragedState s = w(x);
      mass += factor * s.rho;
      momentum += factor * s.rho * s.u;
      total += factor * (s.p / (gamma - 1.0) + 0.5 * s.rho * s.u * s.u);
    }
    a = b;
  }
  mass /= to - from;
  momentum /= to - from;
  total /= to - from;
  const double u = momentum / mass;
  return {mass, u, (gamma - 1.0) * (total - 0.5 * mass * u * u)};
}

// L1 norm of the error, mean over the pipe.
struct Errors {
  double rho = 0, u = 0, p = 0;
};

template <class Exact>
Errors errors_of(const Pipe& d, const Exact& exact_average) {
  Errors e;
  const auto n = static_cast<double>(d.cells());
  for (std::size_t i = 0; i < d.cells(); ++i) {
    const AveragedState w = exact_average(d.centre(i) - 0.5 * d.dx(), d.centre(i) + 0.5 * d.dx());
    const Primitive<double> s = d.state(i);
    e.rho += std::abs(s.rho - w.rho) / n;
    e.u += std::abs(s.u - w.u) / n;
    e.p += std::abs(s.p - w.p) / n;
  }
  return e;
}

}  // namespace pulsewright::validation
