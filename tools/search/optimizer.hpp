// Optimisers of pagmo 2, behind plain functions: no other file sees its headers.
//
// One aim: CMA-ES, Hansen (2006), and with what is left of the budget a compass search, Kolda et
// al. (2003), from its best. Several aims: NSGA-II, Deb et al. (2002). Every generation is
// evaluated as a batch. The same seed gives the same points in
// the same order, as long as the objectives are the same.
#pragma once

#include <cstddef>
#include <exception>
#include <functional>
#include <vector>

namespace pulsewright::tools {

// Thrown by what evaluates when no more points may be computed; it ends the optimisation.
class BudgetSpent : public std::exception {
 public:
  const char* what() const noexcept override { return "the budget of designs is spent"; }
};

struct OptimizerTask {
  std::size_t dimensions = 0;
  std::size_t objectives = 1;
  std::vector<double> start;  // a point of the unit cube that is among the first
  std::size_t points = 0;     // about as many as may be evaluated
  unsigned seed = 0;
  // Objectives to be minimised, of points of the unit cube. Other exceptions than BudgetSpent pass.
  std::function<std::vector<std::vector<double>>(const std::vector<std::vector<double>>&)> evaluate;
};

// Evaluates points until the budget is spent or nothing is gained; what they come to is known to
// `evaluate` alone. Throws std::invalid_argument for a task without dimensions or objectives.
void optimize(const OptimizerTask& task);

// Indices of the points of which none is as good in every objective and better in one, to be
// minimised; in the order of the points.
std::vector<std::size_t> front_of(const std::vector<std::vector<double>>& objectives);

}  // namespace pulsewright::tools
