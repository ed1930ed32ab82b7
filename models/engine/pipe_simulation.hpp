// Runs pipes without an engine for a given time: shock tubes, blowdown of a vessel, resonance.
//
// In: a network without cylinders. Out: the gas at the end of that time, what passed its borders,
// and the gas at the probes over time.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "models/figures/point_result.hpp"
#include "models/network/time_step.hpp"

namespace pulsewright::models {

struct PipeProfile {
  std::string name;
  std::vector<double> x;            // m, cell centres
  std::vector<double> pressure;     // Pa
  std::vector<double> velocity;     // m/s
  std::vector<double> temperature;  // K
  std::vector<double> density;      // kg/m3
  std::vector<double> burnt;        // mass fraction
};

struct PipeSimulationResult {
  double time = 0;  // s
  long steps = 0;
  std::vector<PipeProfile> pipes;
  std::vector<double> probe_time;   // s: the beginning and the end of every step
  std::vector<ProbeTraces> probes;  // a value for each time
  // (content at start - content at end - outflow) / content at start
  double mass_imbalance = 0;
  double energy_imbalance = 0;  // with the heat from the walls
};

// Runs for `duration` (s). keep_going is called every hundred steps. Throws RunFault as
// PointSimulation does, with the time instead of an angle, and RunStopped.
PipeSimulationResult simulate_pipes(const EngineSpecification& engine, double duration,
                                    const RunSettings& settings,
                                    const std::function<bool()>& keep_going = {});

}  // namespace pulsewright::models
