#include "tools/dyno/bounded_fit.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <unsupported/Eigen/LevenbergMarquardt>

namespace pulsewright::tools {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// Parts of the width: a start on a bound could not leave it, since dx/dq vanishes there.
constexpr double least_distance = 0.01;
constexpr double at_bound_distance = 0.005;

// The problem in the free variables q, with a residual more for each expected value.
class Transformed : public Eigen::DenseFunctor<double> {
 public:
  Transformed(const FitProblem& problem, Index residuals)
      : Eigen::DenseFunctor<double>(
            static_cast<int>(problem.parameters.size()),
            static_cast<int>(residuals) + static_cast<int>(problem.parameters.size())),
        problem_(problem) {}

  VectorXd external(const VectorXd& q) const {
    VectorXd x(q.size());
    for (Index k = 0; k < q.size(); ++k) {
      const FitParameter& p = parameter(k);
      x[k] = 0.5 * (p.least + p.most) + 0.5 * (p.most - p.least) * std::sin(q[k]);
    }
    return x;
  }

  VectorXd internal() const {
    VectorXd q(inputs());
    for (Index k = 0; k < q.size(); ++k) {
      const FitParameter& p = parameter(k);
      const double least = p.least + least_distance * (p.most - p.least);
      const double most = p.most - least_distance * (p.most - p.least);
      const double x = std::clamp(p.start, least, most);
      q[k] = std::asin((2 * x - p.least - p.most) / (p.most - p.least));
    }
    return q;
  }

  int operator()(const VectorXd& q, VectorXd& f) const {
    const VectorXd x = external(q);
    const VectorXd r = problem_.residuals(x);
    f.resize(values());
    f.head(r.size()) = r;
    for (Index k = 0; k < q.size(); ++k) {
      f[r.size() + k] = (x[k] - parameter(k).start) / parameter(k).prior;
    }
    return 0;
  }

  int df(const VectorXd& q, MatrixXd& jacobian) const {
    const MatrixXd of_x = problem_.jacobian(external(q));
    jacobian.setZero(values(), q.size());
    jacobian.topRows(of_x.rows()) = of_x;
    for (Index k = 0; k < q.size(); ++k) {
      const FitParameter& p = parameter(k);
      jacobian(of_x.rows() + k, k) = 1 / p.prior;
      jacobian.col(k) *= 0.5 * (p.most - p.least) * std::cos(q[k]);
    }
    return 0;
  }

 private:
  const FitParameter& parameter(Index k) const {
    return problem_.parameters[static_cast<std::size_t>(k)];
  }
  const FitProblem& problem_;
};

void find_errors(const FitProblem& problem, const MatrixXd& jacobian, FitResult& out) {
  const Index n = out.value.size();
  const double freedom =
      std::max<double>(1, static_cast<double>(jacobian.rows()) - static_cast<double>(n));
  out.scale = std::sqrt(std::max(1.0, out.squares / freedom));
  std::vector<Index> free;
  for (Index k = 0; k < n; ++k) {
    const FitParameter& p = problem.parameters[static_cast<std::size_t>(k)];
    const double distance = std::min(out.value[k] - p.least, p.most - out.value[k]);
    out.at_bound.push_back(distance < at_bound_distance * (p.most - p.least));
    if (!out.at_bound.back()) free.push_back(k);
  }
  out.error.setZero(n);
  out.correlation.setIdentity(n, n);
  const Index m = static_cast<Index>(free.size());
  MatrixXd normal(m, m);
  for (Index i = 0; i < m; ++i) {
    for (Index j = 0; j < m; ++j) {
      normal(i, j) = jacobian.col(free[i]).dot(jacobian.col(free[j])) / (out.scale * out.scale);
    }
    const double prior = problem.parameters[static_cast<std::size_t>(free[i])].prior;
    normal(i, i) += 1 / (prior * prior);
  }
  const MatrixXd covariance = normal.inverse();
  for (Index i = 0; i < m; ++i) out.error[free[i]] = std::sqrt(covariance(i, i));
  for (Index i = 0; i < m; ++i) {
    for (Index j = 0; j < m; ++j) {
      if (i == j) continue;
      out.correlation(free[i], free[j]) =
          covariance(i, j) / (out.error[free[i]] * out.error[free[j]]);
    }
  }
}

}  // namespace

FitResult fit_bounded(const FitProblem& problem) {
  if (problem.parameters.empty()) throw std::invalid_argument("fit: there is no parameter");
  for (const FitParameter& p : problem.parameters) {
    if (!(p.least <= p.start && p.start <= p.most && p.least < p.most && p.prior > 0)) {
      throw std::invalid_argument("fit: a start outside its bounds, or nothing expected of it");
    }
  }
  FitResult out;
  VectorXd start(static_cast<Index>(problem.parameters.size()));
  for (Index k = 0; k < start.size(); ++k) {
    start[k] = problem.parameters[static_cast<std::size_t>(k)].start;
  }
  const VectorXd before = problem.residuals(start);
  out.squares_before = before.squaredNorm();
  Transformed transformed(problem, before.size());
  Eigen::LevenbergMarquardt<Transformed> minimizer(transformed);
  minimizer.setXtol(problem.tolerance);
  minimizer.setFtol(problem.tolerance);
  minimizer.setGtol(0);
  minimizer.setMaxfev(4 * problem.most_iterations);
  VectorXd q = transformed.internal();
  auto status = minimizer.minimizeInit(q);
  do {
    status = minimizer.minimizeOneStep(q);
    ++out.iterations;
  } while (status == Eigen::LevenbergMarquardtSpace::Running &&
           out.iterations < problem.most_iterations);
  out.converged = status != Eigen::LevenbergMarquardtSpace::Running &&
                  status != Eigen::LevenbergMarquardtSpace::TooManyFunctionEvaluation;
  out.value = transformed.external(q);
  out.squares = problem.residuals(out.value).squaredNorm();
  find_errors(problem, problem.jacobian(out.value), out);
  return out;
}

}  // namespace pulsewright::tools
