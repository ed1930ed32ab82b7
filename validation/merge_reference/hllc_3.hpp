// The flux through a face of the three-dimensional grid: HLLC of Toro, Spruce and Speares, for one
// face or a pack of them (the number types of solver/simd/types.hpp).
#pragma once

#include <array>
#include <cstddef>

#include "solver/simd/math.hpp"
#include "validation/merge_reference/euler_3d.hpp"

namespace pulsewright::validation {

// A state at a face, or faces, with the velocity across the face first; likewise a flux.
template <class Real>
using AtFace = std::array<Real, 5>;

// Places in a state of the velocities across the face and along it.
inline constexpr std::array<std::array<std::size_t, 3>, 3> velocities{
    {{1, 2, 3}, {2, 1, 3}, {3, 1, 2}}};

inline AtFace<double> across_face(const State3& q, std::size_t axis) {
  const auto [u, v, w] = velocities[axis];
  return {q[0], q[u], q[v], q[w], q[4]};
}

inline Conserved3 in_space(const AtFace<double>& f, std::size_t axis) {
  const auto [u, v, w] = velocities[axis];
  Conserved3 flux{};
  flux[0] = f[0];
  flux[u] = f[1];
  flux[v] = f[2];
  flux[w] = f[3];
  flux[4] = f[4];
  return flux;
}

template <class Real>
Real kinetic_at(const AtFace<Real>& q) {
  return 0.5 * q[0] * (q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
}

template <class Real>
Real energy_at(const AtFace<Real>& q, double gamma) {
  return q[4] / (gamma - 1) + kinetic_at(q);
}

template <class Real>
struct WaveBounds {
  Real left, right;
};

// Toro (2009), section 10.5.1: from Roe's averages and the extreme speeds of the states themselves.
template <class Real>
WaveBounds<Real> wave_bounds(const AtFace<Real>& l, const AtFace<Real>& r, double gamma) {
  using solver::max, solver::min, solver::sqrt;
  const Real c_l = sqrt(Real(gamma * l[4] / l[0]));
  const Real c_r = sqrt(Real(gamma * r[4] / r[0]));
  const Real root_l = sqrt(l[0]);
  const Real root_r = sqrt(r[0]);
  const Real by_sum = 1 / (root_l + root_r);
  AtFace<Real> mean{};
  mean[0] = 1;
  for (std::size_t a = 1; a < 4; ++a) mean[a] = (root_l * l[a] + root_r * r[a]) * by_sum;
  const Real H_l = (energy_at(l, gamma) + l[4]) / l[0];
  const Real H_r = (energy_at(r, gamma) + r[4]) / r[0];
  const Real H = (root_l * H_l + root_r * H_r) * by_sum;
  const Real c = sqrt(Real((gamma - 1) * (H - kinetic_at(mean))));
  return {min(Real(l[1] - c_l), Real(mean[1] - c)), max(Real(r[1] + c_r), Real(mean[1] + c))};
}

// Toro (2009), section 10.4: mass, momentum without that of p_rest, and energy per m2 and s through
// faces between states l and r.
template <class Real>
AtFace<Real> flux_hllc(const AtFace<Real>& l, const AtFace<Real>& r, double gamma, double p_rest) {
  using solver::select;
  const WaveBounds<Real> S = wave_bounds(l, r, gamma);
  const Real m_l = l[0] * (S.left - l[1]);
  const Real m_r = r[0] * (S.right - r[1]);
  const Real contact = (r[4] - l[4] + m_l * l[1] - m_r * r[1]) / (m_l - m_r);
  const auto from_left = contact >= 0;
  AtFace<Real> q;
  for (std::size_t v = 0; v < q.size(); ++v) q[v] = select(from_left, l[v], r[v]);
  const Real bound = select(from_left, S.left, S.right);
  const Real m = select(from_left, m_l, m_r);
  const Real E = energy_at(q, gamma);
  // Between the waves, or where all of them run one way in the state they come from.
  const auto between = S.left < 0 && S.right > 0;
  const Real p = select(between, Real(q[4] + m * (contact - q[1])), q[4]);
  const Real u = select(between, contact, q[1]);
  const Real mass = select(between, Real(m / (bound - contact) * contact), Real(q[0] * q[1]));
  const Real work = select(
      between,
      Real(contact * (((bound - q[1]) * E - q[4] * q[1] + p * contact) / (bound - contact) + p)),
      Real(q[1] * (E + q[4])));
  return {mass, mass * u + p - p_rest, mass * q[2], mass * q[3], work};
}

}  // namespace pulsewright::validation
