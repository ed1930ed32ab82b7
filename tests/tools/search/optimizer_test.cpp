// How the optimisers ask for points: in batches, none twice.
#include "tools/search/optimizer.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <set>
#include <vector>

using namespace pulsewright;

TEST_CASE("generations of CMA-ES are asked for as a batch, and find the minimum of a bowl") {
  const std::vector<double> lowest{0.3, 0.6, 0.45, 0.7};
  std::vector<std::size_t> batches;
  std::set<std::vector<double>> known;
  std::size_t again = 0;  // points of a generation that were known
  double least = std::numeric_limits<double>::infinity();
  tools::OptimizerTask task;
  task.dimensions = lowest.size();
  task.start = {0.5, 0.5, 0.5, 0.5};
  task.points = 240;
  task.seed = 1;
  task.evaluate = [&](const std::vector<std::vector<double>>& points) {
    batches.push_back(points.size());
    std::vector<std::vector<double>> objectives;
    for (const auto& point : points) {
      again += known.insert(point).second || batches.size() > 22 ? 0 : 1;
      double sum = 0;
      for (std::size_t i = 0; i < lowest.size(); ++i) sum += std::pow(point[i] - lowest[i], 2);
      least = std::min(least, sum);
      objectives.push_back({sum});
    }
    return objectives;
  };
  tools::optimize(task);
  // The usual population in four dimensions is 8, Hansen (2006): the first of seven and the start,
  // then 0.7 * 240 / 8 - 1 = 20 generations.
  REQUIRE(batches.size() > 22);
  CHECK(batches[0] == 7);
  CHECK(batches[1] == 1);
  for (std::size_t g = 2; g < 22; ++g) CHECK(batches[g] == 8);
  CHECK(again == 0);  // the compass search that follows does come back to points
  CHECK(least < 1e-3);
}
