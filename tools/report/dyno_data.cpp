#include "tools/report/dyno_data.hpp"

#include <nlohmann/json.hpp>

namespace pulsewright::tools {

nlohmann::json dyno_data(const DynoResult& dyno) {
  nlohmann::json j = dyno_json(dyno);
  j["sentences"] = {{"metric", difference_sentences(dyno, UnitSystem::metric)},
                    {"inch", difference_sentences(dyno, UnitSystem::inch)}};
  return j;
}

}  // namespace pulsewright::tools
