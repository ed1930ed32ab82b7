#include "tools/search/trial_source.hpp"

#include <stdexcept>
#include <string>

namespace pulsewright::tools {

bool LocalTrials::compute(const std::vector<TrialKey>& keys,
                          const DesignEvaluator::PointFilter& selected,
                          const std::function<bool()>& keep_going,
                          const DesignEvaluator::PointSink& consume) {
  std::vector<cases::HeaderDesign> designs;
  std::vector<std::size_t> places;  // of the designs in the list of keys
  for (std::size_t k = 0; k < keys.size(); ++k) {
    try {
      designs.push_back(space_.built(keys[k]));
      places.push_back(k);
    } catch (const std::invalid_argument& error) {
      DesignPoint refused;
      refused.design = k;
      refused.fault = PointFault::failed;
      refused.failure = error.what();
      for (refused.speed = 0; refused.speed < evaluator_.speeds().size(); ++refused.speed) {
        if (!selected || selected(k, refused.speed)) consume(refused);
      }
    }
  }
  return evaluator_.evaluate(
      designs, keep_going,
      [&](const DesignPoint& point) {
        DesignPoint placed = point;
        placed.design = places[point.design];
        consume(placed);
      },
      [&](std::size_t design, std::size_t speed) {
        return !selected || selected(places[design], speed);
      });
}

}  // namespace pulsewright::tools
