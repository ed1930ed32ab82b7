// Exact solution of the Riemann problem for two ideal gases, each with its own constant gamma.
//
// Source: Toro (2009), chapter 4: pressure function eqs (4.5)-(4.7), sampling section 4.5. The two
// gammas enter unmixed, since the contact separates the gases. Vacuum throws.
#pragma once

namespace pulsewright::solver {

struct RiemannState {
  double rho, u, p;  // any consistent units
  double gamma;
};

struct RiemannSolution {
  double p_star, u_star, rho_star_left, rho_star_right;
  // Wave speeds; head and tail coincide at a shock.
  double left_head, left_tail, right_tail, right_head;
};

// Throws std::domain_error when the states produce vacuum or are not a gas, std::runtime_error when
// the iteration does not converge: for a pressure between the waves beyond the range of numbers.
RiemannSolution riemann_exact(const RiemannState& left, const RiemannState& right);

// State on the ray x/t = s.
RiemannState riemann_sample(const RiemannState& left, const RiemannState& right,
                            const RiemannSolution& solution, double s);

}  // namespace pulsewright::solver
