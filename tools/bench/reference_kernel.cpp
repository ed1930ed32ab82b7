#include "tools/bench/reference_kernel.hpp"

#include <cmath>

namespace pulsewright::bench {

namespace {

constexpr double gamma = 1.4;

struct State {
  double rho, u, p, Y;
};
struct Flux {
  double mass, momentum, energy, burnt;
};

State state_of(const ReferencePipe& pipe, std::size_t i) {
  const double u = pipe.momentum[i] / pipe.rho[i];
  return {pipe.rho[i], u, (gamma - 1.0) * (pipe.energy[i] - 0.5 * pipe.momentum[i] * u),
          pipe.burnt[i] / pipe.rho[i]};
}

// HLLC, Toro (2009), section 10.4, with Davis's estimates of the wave speeds (section 10.5).
Flux flux_between(const State& l, const State& r) {
  const double c_l = std::sqrt(gamma * l.p / l.rho);
  const double c_r = std::sqrt(gamma * r.p / r.rho);
  const double s_l = std::fmin(l.u - c_l, r.u - c_r);
  const double s_r = std::fmax(l.u + c_l, r.u + c_r);
  const double m_l = l.rho * (s_l - l.u);
  const double m_r = r.rho * (s_r - r.u);
  const double s = (r.p - l.p + l.u * m_l - r.u * m_r) / (m_l - m_r);
  const bool left = s >= 0;
  const State& w = left ? l : r;
  const double s_k = left ? s_l : s_r;
  const double energy = w.p / (gamma - 1.0) + 0.5 * w.rho * w.u * w.u;
  const Flux f{w.rho * w.u, w.rho * w.u * w.u + w.p, w.u * (energy + w.p), w.rho * w.u * w.Y};
  if (left ? s_l >= 0 : s_r <= 0) return f;
  const double star = w.rho * (s_k - w.u) / (s_k - s);
  const double e_star = energy / w.rho + (s - w.u) * (s + w.p / (w.rho * (s_k - w.u)));
  return {f.mass + s_k * (star - w.rho), f.momentum + s_k * (star * s - w.rho * w.u),
          f.energy + s_k * (star * e_star - energy), f.burnt + s_k * (star - w.rho) * w.Y};
}

}  // namespace

ReferencePipe::ReferencePipe(std::size_t cells)
    : rho(cells), momentum(cells), energy(cells), burnt(cells) {
  for (std::size_t i = 0; i < cells; ++i) {
    const double wave = std::sin(0.2 * static_cast<double>(i));
    rho[i] = 0.5 + 0.05 * wave;
    const double u = 60.0 * wave;
    momentum[i] = rho[i] * u;
    energy[i] = (1.2e5 + 1e4 * wave) / (gamma - 1.0) + 0.5 * rho[i] * u * u;
    burnt[i] = 0.5 * rho[i];
  }
}

void step_reference_kernel(ReferencePipe& pipe, double dt_over_dx) {
  const std::size_t n = pipe.rho.size();
  State here = state_of(pipe, 0);
  Flux left{0, here.p, 0, 0};
  for (std::size_t i = 0; i < n; ++i) {
    const State next = i + 1 < n ? state_of(pipe, i + 1) : here;
    const Flux right = i + 1 < n ? flux_between(here, next) : Flux{0, here.p, 0, 0};
    pipe.rho[i] += dt_over_dx * (left.mass - right.mass);
    pipe.momentum[i] += dt_over_dx * (left.momentum - right.momentum);
    pipe.energy[i] += dt_over_dx * (left.energy - right.energy);
    pipe.burnt[i] += dt_over_dx * (left.burnt - right.burnt);
    left = right;
    here = next;
  }
}

}  // namespace pulsewright::bench
