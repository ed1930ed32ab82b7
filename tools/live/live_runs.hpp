// Operating points that a page has begun: computed piece by piece, so that the page may turn to
// something else in between, and kept afterwards, so that others start from them.
#pragma once

#include <map>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "cases/case_file.hpp"
#include "models/engine/point_simulation.hpp"
#include "models/network/time_step.hpp"

namespace pulsewright::tools {

// One of them.
struct LiveRun {
  LiveRun(const models::EngineSpecification& engine, double speed,
          const models::RunSettings& settings)
      : point(engine, speed, settings), most_cycles(settings.most_cycles) {}

  models::PointSimulation point;
  models::TimeStepper stepper;  // has the network of the point until it is done
  int most_cycles;
  int cycles = 0;  // so far
  bool done = false;
  std::string failure;   // empty: none
  int started_from = 0;  // number of another run; 0: from rest
};

class LiveRuns {
 public:
  // The answer to one of the calls begin, advance, traces, runs, forget, point (README.md); null
  // for another. Throws std::exception with what is wrong: CaseError for a case, nlohmann's for
  // arguments that are missing, std::invalid_argument for a run that is unknown.
  nlohmann::json answer(const std::string& call, const nlohmann::json& request);

 private:
  int begin(const nlohmann::json& request);
  LiveRun& run_of(const nlohmann::json& request);
  const cases::CaseFile& case_of(const std::string& text);

  cases::CaseFile case_;  // that was read last
  std::map<int, std::unique_ptr<LiveRun>> runs_;
  int last_ = 0;  // number given last
};

}  // namespace pulsewright::tools
