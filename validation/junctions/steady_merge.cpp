#include "validation/junctions/steady_merge.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using Eigen::Vector3d;
using models::EndFlux;
using models::Junction;
using models::JunctionLaw;
using models::JunctionSpecification;

namespace {

Stream stream_of(double p, double v, double rho, double gamma) {
  const double M = std::abs(v) / std::sqrt(gamma * p / rho);
  return {p, v, rho, M, p * std::pow(1 + 0.5 * (gamma - 1) * M * M, gamma / (gamma - 1))};
}

}  // namespace

Steady steady_merge(JunctionLaw law, const std::vector<Arm>& arms, double out_area, double gamma) {
  const auto gas = constant_gamma_gas(gamma);
  JunctionSpecification spec;
  spec.name = "merge";
  spec.law = law;
  std::vector<double> areas;
  double flow = 0;
  for (const Arm& arm : arms) {
    spec.branches.push_back({{}, arm.direction});
    areas.push_back(arm.area);
    flow += arm.area * arm.velocity;
  }
  spec.branches.push_back({{}, Vector3d::UnitX()});
  areas.push_back(out_area);
  Junction junction(spec, areas, {});
  models::OrificeBatch orifices;
  junction.fill(gas, p_out, T_in, 0.0);

  using State = solver::Primitive<double>;
  std::vector<models::PipeEndState> states;
  for (const Arm& arm : arms) {
    states.push_back({{p_out / (287.05 * T_in), -arm.velocity, p_out, 0.0}});
  }
  states.push_back({{p_out / (287.05 * T_in), 0.9 * flow / out_area, p_out, 0.0}});
  const double dt = 0.2 * junction.volume() / (400 * (out_area + flow / 400));
  std::vector<EndFlux<double>> flux(states.size());
  double change = 1;
  for (int i = 0; i < 200000 && change > 1e-12; ++i) {
    models::solve_alone(junction, {gas, dt, 0}, states, orifices);
    for (std::size_t k = 0; k < flux.size(); ++k) flux[k] = junction.flux(k);
    change = 0;
    const auto relax = [&](double& x, double to, double scale) {
      const double d = 0.2 * (to - x);
      change = std::max(change, std::abs(d) / scale);
      x += d;
    };
    for (std::size_t k = 0; k < arms.size(); ++k) {
      State& w = states[k].predicted;
      relax(w.p, flux[k].p, p_out);
      w.rho = w.p / (287.05 * T_in);
      w.u = -arms[k].velocity;
    }
    State& w = states.back().predicted;
    relax(w.u, flux.back().v, 100);
    relax(w.rho, flux.back().mass / flux.back().v, 1);
  }
  if (!(change <= 1e-12)) throw std::runtime_error("the flow through the merge does not converge");
  Steady result;
  double in = 0;
  double through = out_area * std::abs(flux.back().mass);
  for (std::size_t k = 0; k < arms.size(); ++k) {
    const State& w = states[k].predicted;
    result.arms.push_back(stream_of(w.p, w.u, w.rho, gamma));
    in -= arms[k].area * flux[k].mass;
    through += arms[k].area * std::abs(flux[k].mass);
  }
  if (std::abs(out_area * flux.back().mass - in) > 1e-8 * through) {
    throw std::runtime_error("the merge does not conserve mass");
  }
  result.out = stream_of(states.back().predicted.p, states.back().predicted.u,
                         states.back().predicted.rho, gamma);
  return result;
}

Arm straight(double area, double velocity) { return {area, -Vector3d::UnitX(), velocity}; }
Arm slanting(double area, double velocity, double angle, double azimuth) {
  const double a = angle * std::numbers::pi / 180;
  const double b = azimuth * std::numbers::pi / 180;
  return {area, {-std::cos(a), std::sin(a) * std::cos(b), std::sin(a) * std::sin(b)}, velocity};
}

}  // namespace pulsewright::validation
