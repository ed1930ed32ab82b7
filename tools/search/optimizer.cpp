// Compiled on its own in a unity build: the headers of pagmo are long.
#include "tools/search/optimizer.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

// Members of pagmo's classes are Eigen matrices, whose memory its library gets from malloc(), as
// Eigen does for any x86-64; for a processor with AVX, or with sanitizers, Eigen would allocate in
// another way here, and free what the library has allocated. So it is told to do as the library
// does, under a name of its own, since functions of one name that do either must not meet in one
// program.
#define EIGEN_DONT_VECTORIZE
#define EIGEN_MALLOC_ALREADY_ALIGNED 1
#define Eigen EigenOfPagmo
#include <pagmo/algorithms/cmaes.hpp>
#include <pagmo/algorithms/compass_search.hpp>
#include <pagmo/algorithms/nsga2.hpp>
#include <pagmo/bfe.hpp>
#include <pagmo/population.hpp>
#include <pagmo/problem.hpp>
#include <pagmo/utils/multi_objective.hpp>

namespace pulsewright::tools {

namespace {

constexpr double first_step = 0.25;      // of CMA-ES, of the unit cube
constexpr double cma_share = 0.7;        // of the budget
constexpr double compass_step = 0.06;    // first one
constexpr double smallest_step = 0.004;  // of the compass search, and of CMA-ES
constexpr double smallest_gain = 1e-3;   // of the objective, N m

using Points = std::vector<std::vector<double>>;

// A generation that is to be evaluated as a batch: first its points are noted, without their
// objectives, then the objectives are known.
struct Generation {
  bool noting = false;
  Points points;
  Points objectives;  // of the points; of none while noting
};

// The problem as pagmo wants it. It is copied, so it holds references only.
class UnitCube {
 public:
  UnitCube() = default;  // pagmo asks for it
  explicit UnitCube(const OptimizerTask& task, Generation* generation = nullptr)
      : task_(&task), generation_(generation) {}

  pagmo::vector_double fitness(const pagmo::vector_double& x) const {
    if (generation_ && generation_->noting) {
      generation_->points.push_back(x);
      return pagmo::vector_double(task_->objectives, 0.0);
    }
    if (generation_) {
      const auto found = std::find(generation_->points.begin(), generation_->points.end(), x);
      const auto k = static_cast<std::size_t>(found - generation_->points.begin());
      if (k < generation_->objectives.size()) return generation_->objectives[k];
    }
    return task_->evaluate({x}).front();
  }
  pagmo::vector_double batch_fitness(const pagmo::vector_double& points) const {
    Points list;
    const auto n = static_cast<std::ptrdiff_t>(task_->dimensions);
    for (auto at = points.begin(); at != points.end(); at += n) list.emplace_back(at, at + n);
    pagmo::vector_double flat;
    for (const auto& one : task_->evaluate(list)) flat.insert(flat.end(), one.begin(), one.end());
    return flat;
  }
  std::pair<pagmo::vector_double, pagmo::vector_double> get_bounds() const {
    const std::size_t n = task_ ? task_->dimensions : 1;
    return {pagmo::vector_double(n, 0.0), pagmo::vector_double(n, 1.0)};
  }
  pagmo::vector_double::size_type get_nobj() const { return task_ ? task_->objectives : 1; }

  template <class Archive>
  void serialize(Archive&, unsigned) {}  // pagmo asks for it; populations are never stored

 private:
  const OptimizerTask* task_ = nullptr;
  Generation* generation_ = nullptr;
};

pagmo::population first_generation(const OptimizerTask& task, std::size_t size,
                                   Generation* generation = nullptr) {
  pagmo::population population(pagmo::problem(UnitCube(task, generation)), pagmo::bfe(), size - 1,
                               task.seed);
  population.push_back(task.start);
  return population;
}

// At least one; how often the whole population can be evaluated within a share of the budget, after
// the first time.
unsigned generations(const OptimizerTask& task, std::size_t size, double share) {
  const double times = share * static_cast<double>(task.points) / static_cast<double>(size) - 1;
  return static_cast<unsigned>(std::max(1.0, std::floor(times)));
}

// CMA-ES, each generation as a batch. pagmo asks for its points one by one; but they are drawn
// before the first is evaluated, so a copy of the algorithm that is given no objectives asks for
// the same ones.
pagmo::population evolve_in_batches(const OptimizerTask& task, pagmo::population population,
                                    const pagmo::cmaes& cma, unsigned generations,
                                    Generation& generation) {
  for (unsigned g = 0; g < generations; ++g) {
    generation = {true, {}, {}};
    const pagmo::cmaes copy = cma;
    copy.evolve(population);
    generation.noting = false;
    if (generation.points.empty()) break;  // it has converged
    generation.objectives = task.evaluate(generation.points);
    population = cma.evolve(population);
  }
  generation = {};
  return population;
}

void optimize_one(const OptimizerTask& task) {
  // The usual size, 4 + 3 ln n, Hansen (2006).
  const auto usual =
      static_cast<std::size_t>(4 + std::floor(3 * std::log(static_cast<double>(task.dimensions))));
  const std::size_t size = std::max<std::size_t>(6, usual);
  Generation generation;
  pagmo::population population = first_generation(task, size, &generation);
  const pagmo::cmaes one_generation(1, -1, -1, -1, -1, first_step, smallest_gain, smallest_step,
                                    true, true, task.seed + 1);
  population = evolve_in_batches(task, std::move(population), one_generation,
                                 generations(task, size, cma_share), generation);
  const pagmo::compass_search compass(static_cast<unsigned>(task.points), compass_step,
                                      smallest_step, 0.5);
  compass.evolve(population);
}

void optimize_several(const OptimizerTask& task) {
  // Its size must be a multiple of four; a fifth of the budget leaves four generations.
  const std::size_t wanted = std::min<std::size_t>(40, std::max<std::size_t>(8, task.points / 5));
  const std::size_t size = wanted / 4 * 4;
  pagmo::nsga2 nsga2(generations(task, size, 1), 0.95, 10, 0.01, 50, task.seed + 1);
  nsga2.set_bfe(pagmo::bfe());
  nsga2.evolve(first_generation(task, size));
}

}  // namespace

void optimize(const OptimizerTask& task) {
  if (task.dimensions == 0 || task.objectives == 0 || task.start.size() != task.dimensions) {
    throw std::invalid_argument("optimize: no dimensions, no objectives, or no start");
  }
  try {
    if (task.objectives == 1) {
      optimize_one(task);
    } else {
      optimize_several(task);
    }
  } catch (const BudgetSpent&) {
  }
}

std::vector<std::size_t> front_of(const std::vector<std::vector<double>>& objectives) {
  if (objectives.size() < 2)
    return objectives.empty() ? std::vector<std::size_t>{} : std::vector<std::size_t>{0};
  const auto sorted = pagmo::fast_non_dominated_sorting(objectives);
  std::vector<std::size_t> front(std::get<0>(sorted).front().begin(),
                                 std::get<0>(sorted).front().end());
  std::sort(front.begin(), front.end());
  return front;
}

}  // namespace pulsewright::tools
