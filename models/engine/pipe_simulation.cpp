#include "models/engine/pipe_simulation.hpp"

#include <cmath>
#include <stdexcept>

#include "models/engine/run_fault.hpp"
#include "models/network/probe.hpp"
#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"

namespace pulsewright::models {

namespace {

// What left by the outlets less what came in by vents.
Content net_outflow(const Network& network) {
  Content sum;
  for (const auto& outlet : network.outlets()) {
    sum.mass += outlet.mass;
    sum.energy += outlet.energy;
  }
  const Content vented = network.vented();
  sum.mass -= vented.mass;
  sum.energy -= vented.energy;
  return sum;
}

void record_probes(const EngineSpecification& engine, const Network& network,
                   PipeSimulationResult& result) {
  if (engine.probes.empty()) return;
  result.probes.resize(engine.probes.size());
  result.probe_time.push_back(result.time);
  for (std::size_t i = 0; i < engine.probes.size(); ++i) {
    const ProbeSpecification& place = engine.probes[i];
    ProbeTraces& traces = result.probes[i];
    traces.name = place.name;
    const ProbeState now =
        probe_state(network.pipes().at(static_cast<std::size_t>(place.pipe)), place.distance);
#define PROBE_TRACE(member, unit, text) traces.member.push_back(static_cast<float>(now.member));
#include "models/figures/figure_table.inc"
  }
}

}  // namespace

PipeSimulationResult simulate_pipes(const EngineSpecification& engine, double duration,
                                    const RunSettings& settings,
                                    const std::function<bool()>& keep_going) {
  if (!engine.cylinders.empty()) {
    throw std::invalid_argument("simulate_pipes: the network has cylinders");
  }
  if (!(duration > 0)) throw std::invalid_argument("simulate_pipes: the duration must be positive");
  const solver::Gas gas = solver::air_and_products(engine.combustion.hydrogen_to_carbon,
                                                   engine.combustion.oxygen_to_carbon);
  Network network(engine, gas, settings.limiter, settings.method);
  TimeStepper stepper;
  stepper.assign(0, network);
  PipeSimulationResult result;
  const Content start = network.content();
  record_probes(engine, network, result);
  try {
    while (duration - result.time > 1e-12 * duration) {
      const double left = duration - result.time;
      const double dt = left / std::ceil(left / network.stable_step(settings.courant));
      step_alone(stepper, {dt});
      result.time += dt;
      ++result.steps;
      record_probes(engine, network, result);
      if (keep_going && result.steps % 100 == 0 && !keep_going()) throw RunStopped();
    }
  } catch (const solver::Fault& fault) {
    throw run_fault(fault, engine, "time " + short_number(result.time) + " s");
  }
  const Content end = network.content();
  const Content out = net_outflow(network);
  result.mass_imbalance = (start.mass - end.mass - out.mass) / start.mass;
  result.energy_imbalance =
      (start.energy - end.energy - out.energy + network.wall_heat()) / start.energy;
  for (const auto& pipe : network.pipes()) {
    PipeProfile profile;
    profile.name = pipe.name();
    for (std::size_t i = 0; i < pipe.cells(); ++i) {
      const auto k = static_cast<std::ptrdiff_t>(i);
      profile.x.push_back(pipe.centre(i));
      profile.pressure.push_back(pipe.p[k]);
      profile.velocity.push_back(pipe.u[k]);
      profile.temperature.push_back(pipe.T[k]);
      profile.density.push_back(pipe.rho[k]);
      profile.burnt.push_back(pipe.Y[k]);
    }
    result.pipes.push_back(std::move(profile));
  }
  return result;
}

}  // namespace pulsewright::models
