#include "solver/pipe/characteristics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/gas/fault.hpp"
#include "solver/pipe/interpolation.hpp"
#include "solver/pipe/limiters.hpp"
#include "solver/pipe/wall_sources.hpp"

namespace pulsewright::solver {

namespace {

constexpr double hottest = 1e5;  // K, above any gas

double entropy(const Gas& gas, double T, double p, double Y) {
  const double R = gas.gas_constant(Y);
  return (gas.cv_0(Y) + R) * std::log(T) + gas.cv_T(Y) * T - R * std::log(p);
}

// Inverse of entropy() by Newton's steps; exact at once where cv is constant. NaN where they do not
// converge.
double temperature_at(const Gas& gas, double s, double p, double Y, double guess) {
  const double R = gas.gas_constant(Y);
  const double cp_0 = gas.cv_0(Y) + R;
  const double b = gas.cv_T(Y);
  const double known = s + R * std::log(p);
  if (b == 0) return std::exp(known / cp_0);
  double T = guess;
  for (int i = 0; i < 20; ++i) {
    const double step = T * (known - cp_0 * std::log(T) - b * T) / (cp_0 + b * T);
    T = std::max(T + step, 0.2 * T);
    if (std::abs(step) < 1e-13 * T) return T;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

CharacteristicPipe::CharacteristicPipe(const Pipe& pipe, const Gas& gas)
    : name_(pipe.name()), n_(pipe.cells()), dx_(pipe.dx()) {
  for (std::size_t i = 0; i <= n_; ++i) {
    const std::size_t low = i == 0 ? 0 : i - 1;
    const std::size_t high = std::min(i + 1, n_);
    area_slope_[i] = std::log(pipe.face_area[high] / pipe.face_area[low]) /
                     (static_cast<double>(high - low) * dx_);
  }
  fill(gas, [&](double x) {
    const auto at = [&](const CellArray& w) { return interpolated(pipe, x, w); };
    const double p = at(pipe.p);
    const double Y = at(pipe.Y);
    return Primitive<double>{p / (gas.gas_constant(Y) * at(pipe.T)), at(pipe.u), p, Y};
  });
}

void CharacteristicPipe::fill(const Gas& gas,
                              const std::function<Primitive<double>(double)>& state) {
  for (std::size_t i = 0; i <= n_; ++i) {
    const Primitive<double> w = state(place(i));
    p_[i] = w.p;
    u_[i] = w.u;
    Y_[i] = w.Y;
    T_[i] = temperature_of(gas, w);
    s_[i] = entropy(gas, T_[i], w.p, w.Y);
  }
  refresh(gas);
}

double CharacteristicPipe::temperature(const Gas& gas, double s, double p, double Y,
                                       std::size_t node) const {
  const double T = temperature_at(gas, s, p, Y, T_[node]);
  if (!(T > 0 && T < hottest)) throw Fault(name_, "temperature in K", T, place(node));
  return T;
}

void CharacteristicPipe::refresh(const Gas& gas) {
  for (std::size_t i = 0; i <= n_; ++i) {
    if (!(p_[i] > 0)) throw Fault(name_, "pressure in Pa", p_[i], place(i));
    T_[i] = temperature(gas, s_[i], p_[i], Y_[i], i);
    gamma_less_1_[i] = gas.gas_constant(Y_[i]) / gas.cv(T_[i], Y_[i]);
    const double RT = gas.gas_constant(Y_[i]) * T_[i];
    c_[i] = std::sqrt((1.0 + gamma_less_1_[i]) * RT);
    rho_[i] = p_[i] / RT;
    impedance_[i] = rho_[i] * c_[i];
    forward_[i] = u_[i] + c_[i];
    backward_[i] = u_[i] - c_[i];
  }
}

double CharacteristicPipe::fastest() const {
  double speed = 0;
  for (std::size_t i = 0; i <= n_; ++i) speed = std::max(speed, std::abs(u_[i]) + c_[i]);
  return speed;
}

// The characteristic of that speed which meets the node at the end of the step: with the mean of
// the speed there and at the foot, linear between the nodes.
CharacteristicPipe::Foot CharacteristicPipe::foot(const Nodes& speed, std::size_t node,
                                                  double speed_there, double dt) const {
  const double own = speed[node];
  const double half = 0.5 * dt / dx_;
  const bool from_left = speed_there + own > 0;
  if (from_left ? node == 0 : node == n_) return {node, node, 0.0};
  const std::size_t other = from_left ? node - 1 : node + 1;
  const double sign = from_left ? 1.0 : -1.0;
  const double fraction =
      sign * half * (speed_there + own) / (1.0 - sign * half * (speed[other] - own));
  return {node, other, std::clamp(fraction, 0.0, 1.0)};
}

double CharacteristicPipe::between(const Nodes& w, const Foot& f) {
  return w[f.from] + f.fraction * (w[f.to] - w[f.from]);
}

double CharacteristicPipe::smooth(const Nodes& w, const Nodes& slope, const Foot& f) {
  const double rise = w[f.to] - w[f.from];
  const double curvature = slope[f.to] - slope[f.from];
  const double sign = f.to > f.from ? 1.0 : -1.0;
  return w[f.from] + f.fraction * (rise - 0.5 * (1.0 - f.fraction) * sign * curvature);
}

void CharacteristicPipe::find_slopes() {
  const auto slopes = [&](const Nodes& w, Nodes& slope) {
    for (std::size_t i = 1; i < n_; ++i) {
      slope[i] = LimiterMonotonizedCentral::slope(w[i] - w[i - 1], w[i + 1] - w[i]);
    }
    // At the ends the parabola through three nodes, limited as the others are.
    const auto end = [](double near_one, double far_one) {
      const double d = 1.5 * near_one - 0.5 * far_one;
      if (d * near_one <= 0) return 0.0;
      return std::copysign(std::min(std::abs(d), 2.0 * std::abs(near_one)), d);
    };
    slope[0] = end(w[1] - w[0], w[2] - w[1]);
    slope[n_] = end(w[n_] - w[n_ - 1], w[n_ - 1] - w[n_ - 2]);
  };
  slopes(p_, slope_p_);
  slopes(u_, slope_u_);
  slopes(s_, slope_s_);
  slopes(Y_, slope_Y_);
}

void CharacteristicPipe::find_sources(const Pipe& pipe) {
  for (std::size_t i = 0; i <= n_; ++i) {
    const auto before = static_cast<std::ptrdiff_t>(i == 0 ? 0 : i - 1);
    const auto after = static_cast<std::ptrdiff_t>(std::min(i, n_ - 1));
    const auto mean = [&](const CellArray& w) { return 0.5 * (w[before] + w[after]); };
    laminar_[i] = mean(pipe.laminar);
    turbulent_[i] = mean(pipe.turbulent);
    heat_transfer_[i] = mean(pipe.heat_transfer);
    T_wall_[i] = mean(pipe.T_wall);
    const double force = friction_force(laminar_[i], turbulent_[i], rho_[i], u_[i]);
    const double heat = wall_heat_flow(heat_transfer_[i], T_wall_[i], T_[i]) - force * u_[i];
    pressure_rate_[i] = -rho_[i] * c_[i] * c_[i] * u_[i] * area_slope_[i] + gamma_less_1_[i] * heat;
    force_rate_[i] = c_[i] * force;
    entropy_rate_[i] = heat / (rho_[i] * T_[i]);
  }
}

void CharacteristicPipe::predict_ends(const Gas& gas, const Pipe& pipe, double dt) {
  find_slopes();
  find_sources(pipe);
  // sign: +1 at the right end, where the characteristic u + c arrives, -1 at the left end.
  const auto arriving = [&](std::size_t node, const Nodes& speed, double sign, double& s,
                            double& Y) {
    const Foot path = foot(u_, node, u_[node], dt);
    s = smooth(s_, slope_s_, path) +
        0.5 * dt * (between(entropy_rate_, path) + entropy_rate_[node]);
    Y = smooth(Y_, slope_Y_, path);
    const Foot f = foot(speed, node, speed[node], dt);
    const double p =
        smooth(p_, slope_p_, f) + 0.5 * dt *
                                      (between(pressure_rate_, f) + sign * between(force_rate_, f) +
                                       pressure_rate_[node] + sign * force_rate_[node]);
    // Gas that leaves is that of its path; where gas enters, the wave into the pipe runs on the
    // mean of the gas between end and foot.
    const bool leaves = sign * u_[node] >= 0;
    const double s_there = leaves ? s : 0.5 * (s_[node] + smooth(s_, slope_s_, f));
    const double Y_there = leaves ? Y : 0.5 * (Y_[node] + smooth(Y_, slope_Y_, f));
    const double T = temperature(gas, s_there, p, Y_there, node);
    return Primitive<double>{p / (gas.gas_constant(Y_there) * T), smooth(u_, slope_u_, f), p,
                             Y_there};
  };
  left_ = arriving(0, backward_, -1.0, left_s_, left_Y_);
  right_ = arriving(n_, forward_, 1.0, right_s_, right_Y_);
}

void CharacteristicPipe::set_end(std::size_t node, const End& end, const Gas& gas, double s,
                                 double Y) {
  p_[node] = end.p;
  u_[node] = end.u;
  Y_[node] = end.enters ? end.Y : Y;
  s_[node] = end.enters ? entropy(gas, end.T, end.p, end.Y) : s;
  if (end.enters) T_[node] = end.T;
}

double CharacteristicPipe::advance(const Gas& gas, double dt) {
  for (std::size_t i = 1; i < n_; ++i) {
    double u = u_[i];
    double c = c_[i];
    double p = p_[i];
    double s = s_[i];
    double Y = Y_[i];
    double impedance = impedance_[i];
    double pressure_rate = pressure_rate_[i];
    double force_rate = force_rate_[i];
    double entropy_rate = entropy_rate_[i];
    for (int round = 0; round < 2; ++round) {
      const Foot forward = foot(forward_, i, u + c, dt);
      const Foot backward = foot(backward_, i, u - c, dt);
      const Foot path = foot(u_, i, u, dt);
      const double z_f = 0.5 * (impedance + between(impedance_, forward));
      const double z_b = 0.5 * (impedance + between(impedance_, backward));
      const double a = smooth(p_, slope_p_, forward) + z_f * smooth(u_, slope_u_, forward) +
                       0.5 * dt *
                           (between(pressure_rate_, forward) + between(force_rate_, forward) +
                            pressure_rate + force_rate);
      const double b = smooth(p_, slope_p_, backward) - z_b * smooth(u_, slope_u_, backward) +
                       0.5 * dt *
                           (between(pressure_rate_, backward) - between(force_rate_, backward) +
                            pressure_rate - force_rate);
      u = (a - b) / (z_f + z_b);
      p = (z_b * a + z_f * b) / (z_f + z_b);
      s = smooth(s_, slope_s_, path) + 0.5 * dt * (between(entropy_rate_, path) + entropy_rate);
      Y = smooth(Y_, slope_Y_, path);
      if (!(p > 0)) throw Fault(name_, "pressure in Pa", p, place(i));
      if (round == 1) break;
      // The state at the node after the step, for the mean of the coefficients.
      const double T = temperature(gas, s, p, Y, i);
      const double R = gas.gas_constant(Y);
      const double gamma_less_1 = R / gas.cv(T, Y);
      const double rho = p / (R * T);
      c = std::sqrt((1.0 + gamma_less_1) * R * T);
      impedance = rho * c;
      const double force = friction_force(laminar_[i], turbulent_[i], rho, u);
      const double heat = wall_heat_flow(heat_transfer_[i], T_wall_[i], T) - force * u;
      pressure_rate = -rho * c * c * u * area_slope_[i] + gamma_less_1 * heat;
      force_rate = c * force;
      entropy_rate = heat / (rho * T);
    }
    next_p_[i] = p;
    next_u_[i] = u;
    next_s_[i] = s;
    next_Y_[i] = Y;
  }
  p_.swap(next_p_);
  u_.swap(next_u_);
  s_.swap(next_s_);
  Y_.swap(next_Y_);
  set_end(0, left_set_, gas, left_s_, left_Y_);
  set_end(n_, right_set_, gas, right_s_, right_Y_);
  refresh(gas);
  return fastest();
}

void CharacteristicPipe::write(const Gas& gas, Pipe& pipe, double dt) const {
  for (std::size_t i = 0; i < n_; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    pipe.wall_heat[k] += dt * pipe.heat_transfer[k] * (pipe.T_wall[k] - pipe.T[k]);
    const auto mean = [i](const Nodes& w) { return 0.5 * (w[i] + w[i + 1]); };
    const double Y = mean(Y_);
    const double T = mean(T_);
    const double u = mean(u_);
    const double rho = mean(p_) / (gas.gas_constant(Y) * T);
    pipe.rho[k] = rho;
    pipe.momentum[k] = rho * u;
    pipe.energy_density[k] = rho * (gas.internal(T, Y) + 0.5 * u * u);
    pipe.burnt_density[k] = rho * Y;
  }
  pipe.heat_transfer_time += dt;
  pipe.refresh(gas);
}

}  // namespace pulsewright::solver
