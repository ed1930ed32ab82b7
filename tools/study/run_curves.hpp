// Operating points of engines at speeds, on several threads (tools/study/run_list.hpp), and which
// of them are results.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "models/engine/point_simulation.hpp"
#include "tools/study/run_list.hpp"

namespace pulsewright::tools {

struct CurvePoint {
  const models::EngineSpecification* engine = nullptr;
  double speed = 0;  // rev/s
  models::RunSettings settings;
  // A finished run at this speed of nearly the same engine to start from; may be null.
  const models::PointSimulation* start = nullptr;
};

struct CurveOutcome {
  std::unique_ptr<models::PointSimulation> run;  // null where it failed
  // Why it is no result: a fault, a point that does not repeat, clipped values; empty if it is one.
  std::string fault;

  bool counts() const { return fault.empty(); }
  models::PointResult& result() const { return run->result(); }
};

// One outcome per point, in their order. point_done: called by one thread at a time. Throws
// RunStopped once keep_going has turned false.
std::vector<CurveOutcome> run_curves(std::span<const CurvePoint> points, unsigned jobs,
                                     const std::function<bool()>& keep_going,
                                     const std::function<void()>& point_done = {});

}  // namespace pulsewright::tools
