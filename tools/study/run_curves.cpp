#include "tools/study/run_curves.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <utility>

#include "models/engine/run_fault.hpp"
#include "tools/study/point_text.hpp"

namespace pulsewright::tools {

namespace {

// By point: a number that points share whose pipes have the same numbers of cells and whose gas is
// one, which are stepped together.
std::vector<std::size_t> kinds_of(std::span<const CurvePoint> points) {
  std::vector<std::size_t> kinds;
  std::map<std::vector<double>, std::size_t> known;
  for (const CurvePoint& point : points) {
    const models::CombustionSpecification& burning = point.engine->combustion;
    std::vector<double> kind{burning.hydrogen_to_carbon, burning.oxygen_to_carbon};
    for (const auto& pipe : point.engine->pipes) kind.push_back(static_cast<double>(pipe.cells()));
    kinds.push_back(known.emplace(std::move(kind), known.size()).first->second);
  }
  return kinds;
}

}  // namespace

std::vector<CurveOutcome> run_curves(std::span<const CurvePoint> points, unsigned jobs,
                                     const std::function<bool()>& keep_going,
                                     const std::function<void()>& point_done) {
  const std::vector<std::size_t> kinds = kinds_of(points);
  std::vector<std::size_t> order(points.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return kinds[a] < kinds[b]; });
  std::vector<CurveOutcome> outcomes(points.size());
  RunList list;
  list.count = points.size();
  list.key = [&](std::size_t i) { return kinds[order[i]]; };
  list.make = [&](std::size_t i) {
    const CurvePoint& point = points[order[i]];
    auto run =
        std::make_unique<models::PointSimulation>(*point.engine, point.speed, point.settings);
    if (point.start) run->start_from(*point.start);
    return run;
  };
  list.take = [&](std::size_t i, RunList::Run run, const std::string& failure, double) {
    CurveOutcome& outcome = outcomes[order[i]];
    outcome.fault = failure;
    if (failure.empty()) {
      const auto faults = point_faults(run->result(), points[order[i]].settings.most_cycles);
      if (!faults.empty()) outcome.fault = faults.front();
      outcome.run = std::move(run);
    }
    if (point_done) point_done();
  };
  if (!run_list(list, jobs, keep_going)) throw models::RunStopped();
  return outcomes;
}

}  // namespace pulsewright::tools
