#include "solver/riemann/exact.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace pulsewright::solver {

namespace {

double sound(const RiemannState& k) { return std::sqrt(k.gamma * k.p / k.rho); }

// f_K(p) and its derivative, Toro (4.6), (4.7), (4.37).
struct WaveCurve {
  double f, slope;
};

WaveCurve wave_curve(const RiemannState& k, double p) {
  const double g = k.gamma;
  if (p > k.p) {
    const double A = 2.0 / ((g + 1.0) * k.rho);
    const double B = (g - 1.0) / (g + 1.0) * k.p;
    const double root = std::sqrt(A / (p + B));
    return {(p - k.p) * root, root * (1.0 - 0.5 * (p - k.p) / (B + p))};
  }
  const double c = sound(k);
  const double ratio = p / k.p;
  return {2.0 * c / (g - 1.0) * (std::pow(ratio, 0.5 * (g - 1.0) / g) - 1.0),
          std::pow(ratio, -0.5 * (g + 1.0) / g) / (k.rho * c)};
}

double star_density(const RiemannState& k, double p) {
  const double g = k.gamma;
  const double ratio = p / k.p;
  if (p > k.p) {
    const double q = (g - 1.0) / (g + 1.0);
    return k.rho * (ratio + q) / (q * ratio + 1.0);
  }
  return k.rho * std::pow(ratio, 1.0 / g);
}

// State on one side of the contact; direction = -1 left, +1 right.
RiemannState sample_side(const RiemannState& k, double p_star, double u_star, double s,
                         double direction) {
  const double g = k.gamma;
  const double c = sound(k);
  const double from = direction * (s - k.u);  // speed relative to the gas, away from the contact
  const double rho_star = star_density(k, p_star);
  if (p_star > k.p) {
    const double shock =
        c * std::sqrt((g + 1.0) / (2.0 * g) * p_star / k.p + (g - 1.0) / (2.0 * g));
    return from > shock ? k : RiemannState{rho_star, u_star, p_star, g};
  }
  if (from > c) return k;
  const double c_star = c * std::pow(p_star / k.p, 0.5 * (g - 1.0) / g);
  if (direction * (s - u_star) < c_star) return {rho_star, u_star, p_star, g};
  const double base = 2.0 / (g + 1.0) + (g - 1.0) / ((g + 1.0) * c) * from;
  return {k.rho * std::pow(base, 2.0 / (g - 1.0)),
          2.0 / (g + 1.0) * (-direction * c + 0.5 * (g - 1.0) * k.u + s),
          k.p * std::pow(base, 2.0 * g / (g - 1.0)), g};
}

}  // namespace

RiemannSolution riemann_exact(const RiemannState& left, const RiemannState& right) {
  for (const auto& k : {left, right}) {
    if (!(k.rho > 0 && k.p > 0 && k.gamma > 1 && std::isfinite(k.u))) {
      throw std::domain_error("riemann_exact: a state is no gas");
    }
  }
  const double du = right.u - left.u;
  const double reach =
      2.0 * sound(left) / (left.gamma - 1.0) + 2.0 * sound(right) / (right.gamma - 1.0);
  if (!(reach > du)) throw std::domain_error("riemann_exact: the states pull apart into vacuum");

  const auto residual = [&](double p) {
    const WaveCurve l = wave_curve(left, p);
    const WaveCurve r = wave_curve(right, p);
    return WaveCurve{l.f + r.f + du, l.slope + r.slope};
  };
  // The function rises and is concave: Newton from the left of the root never overshoots it.
  double low = 0;
  double high = std::max(left.p, right.p);
  while (residual(high).f < 0) {
    low = high;
    high *= 4.0;
  }
  double p = std::min(left.p, right.p);
  while (residual(p).f > 0) p *= 0.1;
  p = std::max(p, low);
  double step = p;
  for (int i = 0; i < 200 && !(step <= 1e-15 * p); ++i) {
    const WaveCurve r = residual(p);
    const double next = std::min(p - r.f / r.slope, high);
    step = std::abs(next - p);
    p = next;
  }
  // At the root the steps may go on in the last digits, which is a solution too.
  if (!(step <= 1e-10 * p && std::isfinite(p))) {
    throw std::runtime_error("riemann_exact: no convergence");
  }
  const double u =
      0.5 * (left.u + right.u) + 0.5 * (wave_curve(right, p).f - wave_curve(left, p).f);

  RiemannSolution s{};
  s.p_star = p;
  s.u_star = u;
  s.rho_star_left = star_density(left, p);
  s.rho_star_right = star_density(right, p);
  const auto speeds = [&](const RiemannState& k, double direction, double& head, double& tail) {
    const double g = k.gamma;
    const double c = sound(k);
    if (p > k.p) {
      const double shock = c * std::sqrt((g + 1.0) / (2.0 * g) * p / k.p + (g - 1.0) / (2.0 * g));
      head = tail = k.u + direction * shock;
    } else {
      head = k.u + direction * c;
      tail = u + direction * c * std::pow(p / k.p, 0.5 * (g - 1.0) / g);
    }
  };
  speeds(left, -1.0, s.left_head, s.left_tail);
  speeds(right, +1.0, s.right_head, s.right_tail);
  return s;
}

RiemannState riemann_sample(const RiemannState& left, const RiemannState& right,
                            const RiemannSolution& solution, double s) {
  return s < solution.u_star ? sample_side(left, solution.p_star, solution.u_star, s, -1.0)
                             : sample_side(right, solution.p_star, solution.u_star, s, +1.0);
}

}  // namespace pulsewright::solver
