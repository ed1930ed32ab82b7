// The least squares with bounds against linear problems, whose answer is known.
#include "tools/dyno/bounded_fit.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <stdexcept>

#include "tests/near.hpp"

using namespace pulsewright;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using tests::near;
using tools::fit_bounded;
using tools::FitProblem;

namespace {

// r = (a + b t - y) / sigma at t = 0 .. 4.
FitProblem line_problem(const std::vector<double>& y, double sigma, double prior) {
  FitProblem out;
  out.parameters = {{1, 0, 4, prior}, {1, 0, 4, prior}};
  out.tolerance = 1e-10;
  out.most_iterations = 50;
  out.residuals = [y, sigma](const VectorXd& x) {
    VectorXd r(static_cast<Eigen::Index>(y.size()));
    for (Eigen::Index i = 0; i < r.size(); ++i) {
      r[i] = (x[0] + x[1] * static_cast<double>(i) - y[static_cast<std::size_t>(i)]) / sigma;
    }
    return r;
  };
  out.jacobian = [y, sigma](const VectorXd&) {
    MatrixXd j(static_cast<Eigen::Index>(y.size()), 2);
    for (Eigen::Index i = 0; i < j.rows(); ++i) {
      j(i, 0) = 1 / sigma;
      j(i, 1) = static_cast<double>(i) / sigma;
    }
    return j;
  };
  return out;
}

}  // namespace

// Ordinary least squares: with t = 0 .. 4, n = 5, sum t = 10, sum t^2 = 30 the covariance is
// sigma^2 / 50 times (30, -10; -10, 5), so errors sigma sqrt(0.6) and sigma sqrt(0.1) and the
// correlation -10 / sqrt(150).
TEST_CASE("bounded fit: a line, its errors and their correlation") {
  const double sigma = 0.1;
  const auto fit = fit_bounded(line_problem({2.0, 2.5, 3.0, 3.5, 4.0}, sigma, 1e6));
  CHECK(fit.converged);
  CHECK(near(fit.value[0], 2, 1e-6, 0));
  CHECK(near(fit.value[1], 0.5, 1e-6, 0));
  CHECK(near(fit.error[0], sigma * std::sqrt(0.6), 1e-6, 0));
  CHECK(near(fit.error[1], sigma * std::sqrt(0.1), 1e-6, 0));
  CHECK(near(fit.correlation(0, 1), -10 / std::sqrt(150.0), 1e-6, 0));
  CHECK(fit.squares < 1e-9);
  CHECK(fit.scale == 1);
}

TEST_CASE("bounded fit: residuals beyond their deviation widen the errors") {
  // Residuals +-1 about 2 + 0.5 t, orthogonal to 1 and t: 1, -2, 1, ... ; three degrees of freedom.
  const std::vector<double> y{2.0 + 1, 2.5 - 2, 3.0 + 0, 3.5 + 2, 4.0 - 1};
  const double sigma = 0.1;
  const auto fit = fit_bounded(line_problem(y, sigma, 1e6));
  CHECK(near(fit.value[0], 2, 1e-6, 0));
  CHECK(near(fit.value[1], 0.5, 1e-6, 0));
  const double scale = std::sqrt(10 / (sigma * sigma) / 3);
  CHECK(near(fit.scale, scale, 1e-6, 0));
  CHECK(near(fit.error[1], scale * sigma * std::sqrt(0.1), 1e-5, 0));
}

TEST_CASE("bounded fit: a parameter at its bound is named, and the others make the best of it") {
  // The best slope would be -1.
  const auto fit = fit_bounded(line_problem({4, 3, 2, 1, 0}, 0.1, 1e6));
  CHECK(near(fit.value[1], 0, 0, 1e-3));
  CHECK(near(fit.value[0], 2, 2e-3, 0));  // the mean of the values
  CHECK(fit.at_bound[1]);
  CHECK(!fit.at_bound[0]);
  CHECK(fit.error[1] == 0);
  CHECK(near(fit.error[0], 0.1 * fit.scale / std::sqrt(5.0), 1e-6, 0));
}

// With an expected value of deviation p the answer is the weighted mean of both.
TEST_CASE("bounded fit: what the data do not tell stays as expected") {
  FitProblem problem = line_problem({2.0, 2.5, 3.0, 3.5, 4.0}, 0.1, 0.3);
  problem.residuals = [](const VectorXd& x) { return VectorXd::Constant(3, (x[0] - 2) / 0.3); };
  problem.jacobian = [](const VectorXd&) {
    MatrixXd j = MatrixXd::Zero(3, 2);
    j.col(0).setConstant(1 / 0.3);
    return j;
  };
  const auto fit = fit_bounded(problem);
  CHECK(near(fit.value[0], (3 * 2 + 1) / 4.0, 1e-6, 0));  // three measured 2, one expected 1
  // The residuals, (1.75 - 2) / 0.3 three times with one degree of freedom, widen it.
  const double scale = std::sqrt(3.0) * 0.25 / 0.3;
  CHECK(near(fit.error[0], 0.3 / std::sqrt(3 / (scale * scale) + 1), 1e-6, 0));
  CHECK(near(fit.value[1], 1, 1e-9, 0));  // not in the residuals
  CHECK(near(fit.error[1], 0.3, 1e-6, 0));
}

TEST_CASE("bounded fit: what the residuals throw in the midst of it comes through") {
  FitProblem problem = line_problem({2.0, 2.5, 3.0, 3.5, 4.0}, 0.1, 1e6);
  const auto residuals = problem.residuals;
  int calls = 0;
  problem.residuals = [&](const VectorXd& x) {
    if (++calls == 3) throw std::domain_error("invented");
    return residuals(x);
  };
  CHECK_THROWS_AS(fit_bounded(problem), std::domain_error);
  CHECK(calls == 3);
}

TEST_CASE("bounded fit: iterations are counted, and too few of them do not converge") {
  FitProblem problem = line_problem({2.0, 2.5, 3.0, 3.5, 4.0}, 0.1, 1e6);
  problem.most_iterations = 1;
  const auto fit = fit_bounded(problem);
  CHECK(fit.iterations == 1);
  CHECK_FALSE(fit.converged);
  problem.most_iterations = 0;
  CHECK_THROWS_AS(fit_bounded(problem), std::invalid_argument);
}

TEST_CASE("bounded fit: a start outside its bounds and a fit of nothing are refused") {
  FitProblem problem = line_problem({1, 1, 1, 1, 1}, 0.1, 1);
  problem.parameters[0].start = 5;
  CHECK_THROWS_AS(fit_bounded(problem), std::invalid_argument);
  problem.parameters.clear();
  CHECK_THROWS_AS(fit_bounded(problem), std::invalid_argument);
}
