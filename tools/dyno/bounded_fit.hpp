// Least squares with bounded parameters, each with a value that is expected beforehand.
//
// Minimized is |r(x)|^2 + sum ((x_k - start_k) / prior_k)^2, so that what the residuals do not tell
// stays where it was expected. Bounds hold by x = middle + half width * sin q, q free: the
// transformation of James & Roos (1975). Minimizer: Levenberg-Marquardt of MINPACK, in C.
//
// Errors: the inverse of J^T J / s^2 + diag(1 / prior^2) at the solution over the parameters that
// are not at a bound, s^2 = |r|^2 / (residuals - parameters), 1 at least: residuals that are larger
// than they should be make the errors larger.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <vector>

namespace pulsewright::tools {

struct FitParameter {
  double start = 0;  // expected, within the bounds
  double least = 0, most = 0;
  double prior = 0;  // standard deviation of what is expected
};

struct FitProblem {
  std::vector<FitParameter> parameters;
  // Residuals over their standard deviations, and their derivatives by each parameter (residuals x
  // parameters). The second is called for the parameters of the last call of the first, or after
  // it has been called for them once more.
  std::function<Eigen::VectorXd(const Eigen::VectorXd&)> residuals;
  std::function<Eigen::MatrixXd(const Eigen::VectorXd&)> jacobian;
  int most_iterations = 8;
  double tolerance = 1e-3;  // relative change of parameters or sum of squares
};

struct FitResult {
  Eigen::VectorXd value;
  Eigen::VectorXd error;        // standard, 0 at a bound
  Eigen::MatrixXd correlation;  // 0 beside the diagonal for parameters at a bound
  std::vector<bool> at_bound;
  double squares_before = 0, squares = 0;  // |r|^2, without what was expected
  double scale = 1;                        // s
  int iterations = 0;
  bool converged = false;
};

// Throws std::invalid_argument for no parameter, a start outside its bounds or nothing expected of
// it, no iteration or a tolerance below zero, and what the functions throw.
FitResult fit_bounded(const FitProblem& problem);

}  // namespace pulsewright::tools
