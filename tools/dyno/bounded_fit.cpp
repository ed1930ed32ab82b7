#include "tools/dyno/bounded_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cminpack.h>
#include <exception>
#include <stdexcept>

namespace pulsewright::tools {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// Parts of the width: a start on a bound could not leave it, since dx/dq vanishes there.
constexpr double least_distance = 0.01;
constexpr double at_bound_distance = 0.005;

// The problem in the free variables q, with a residual more for each expected value.
class Transformed {
 public:
  Transformed(const FitProblem& problem, Index residuals)
      : problem_(problem), residuals_(residuals) {}

  Index inputs() const { return static_cast<Index>(problem_.parameters.size()); }
  Index values() const { return residuals_ + inputs(); }

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

  void find_values(const VectorXd& q, double* f) const {
    const VectorXd x = external(q);
    const VectorXd r = problem_.residuals(x);
    for (Index i = 0; i < residuals_; ++i) f[i] = r[i];
    for (Index k = 0; k < q.size(); ++k) {
      f[residuals_ + k] = (x[k] - parameter(k).start) / parameter(k).prior;
    }
  }

  // Column by column.
  void find_jacobian(const VectorXd& q, double* j) const {
    const MatrixXd of_x = problem_.jacobian(external(q));
    for (Index k = 0; k < q.size(); ++k) {
      const FitParameter& p = parameter(k);
      const double dx_dq = 0.5 * (p.most - p.least) * std::cos(q[k]);
      double* column = j + k * values();
      std::fill_n(column, values(), 0.0);
      for (Index i = 0; i < residuals_; ++i) column[i] = of_x(i, k) * dx_dq;
      column[residuals_ + k] = dx_dq / p.prior;
    }
  }

 private:
  const FitParameter& parameter(Index k) const {
    return problem_.parameters[static_cast<std::size_t>(k)];
  }
  const FitProblem& problem_;
  Index residuals_;
};

// What MINPACK, in C, calls. An exception must not pass through it: it is kept until MINPACK has
// returned.
struct Minimization {
  const Transformed& problem;
  int most_iterations = 0;
  int iterations = 0;  // each begins with a jacobian
  std::exception_ptr error;
};

int evaluate(void* of, int /*values*/, int inputs, const double* q, double* f, double* jacobian,
             int /*rows*/, int flag) {
  auto& minimization = *static_cast<Minimization*>(of);
  constexpr int end = -1;
  try {
    const VectorXd at = Eigen::Map<const VectorXd>(q, inputs);
    if (flag == 1) {
      minimization.problem.find_values(at, f);
    } else {
      if (minimization.iterations == minimization.most_iterations) return end;
      minimization.problem.find_jacobian(at, jacobian);
      ++minimization.iterations;
    }
    return 0;
  } catch (...) {
    minimization.error = std::current_exception();
    return end;
  }
}

void minimize(const FitProblem& problem, const Transformed& transformed, FitResult& out) {
  const int n = static_cast<int>(transformed.inputs());
  const int m = static_cast<int>(transformed.values());
  VectorXd q = transformed.internal();
  VectorXd f(m), scales(n), qtf(n), work_1(n), work_2(n), work_3(n), work_4(m);
  MatrixXd jacobian(m, n);
  std::vector<int> order(problem.parameters.size());
  constexpr double no_gradient = 0;    // is small enough to end
  constexpr int scaled_by_itself = 1;  // by the columns of the jacobian
  constexpr double first_step = 100;   // of the scaled variables, as MINPACK recommends
  constexpr int without_printing = 0;
  int calls = 0, jacobians = 0;
  Minimization minimization{transformed, problem.most_iterations, 0, nullptr};
  const int status =
      lmder(evaluate, &minimization, m, n, q.data(), f.data(), jacobian.data(), m,
            problem.tolerance, problem.tolerance, no_gradient, 4 * problem.most_iterations,
            scales.data(), scaled_by_itself, first_step, without_printing, &calls, &jacobians,
            order.data(), qtf.data(), work_1.data(), work_2.data(), work_3.data(), work_4.data());
  if (minimization.error) std::rethrow_exception(minimization.error);
  constexpr int improper_input = 0, too_many_calls = 5;
  if (status == improper_input) {
    throw std::invalid_argument("fit: no iteration, or a tolerance below zero");
  }
  out.iterations = minimization.iterations;
  out.converged = status > improper_input && status != too_many_calls;
  out.value = transformed.external(q);
}

// Inverse of J^T J, from the QR decomposition of J (m x n, m >= n).
MatrixXd inverse_of_normal(MatrixXd jacobian) {
  const int m = static_cast<int>(jacobian.rows());
  const int n = static_cast<int>(jacobian.cols());
  VectorXd diagonal(n), norms(n), work(n);
  std::vector<int> order(static_cast<std::size_t>(n));
  qrfac(m, n, jacobian.data(), m, 1, order.data(), n, diagonal.data(), norms.data(), work.data());
  for (Index k = 0; k < n; ++k) jacobian(k, k) = diagonal[k];
  covar(n, jacobian.data(), m, order.data(), 0, work.data());
  return jacobian.topRows(n);
}

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
  if (m == 0) return;
  MatrixXd weighted = MatrixXd::Zero(jacobian.rows() + m, m);
  for (Index i = 0; i < m; ++i) {
    for (Index row = 0; row < jacobian.rows(); ++row) {
      weighted(row, i) = jacobian(row, free[i]) / out.scale;
    }
    weighted(jacobian.rows() + i, i) =
        1 / problem.parameters[static_cast<std::size_t>(free[i])].prior;
  }
  const MatrixXd covariance = inverse_of_normal(weighted);
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
  minimize(problem, Transformed(problem, before.size()), out);
  out.squares = problem.residuals(out.value).squaredNorm();
  find_errors(problem, problem.jacobian(out.value), out);
  return out;
}

}  // namespace pulsewright::tools
