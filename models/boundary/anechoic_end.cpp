#include "models/boundary/anechoic_end.hpp"

namespace pulsewright::models {

AnechoicEnd::AnechoicEnd(const AnechoicEndSpecification& spec, const BoundarySetup& setup)
    : SingleEnd(spec.end, setup.name), pressure_(setup.ambient.pressure) {}

void AnechoicEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const PipeEndState& end = ends[0];
  const solver::EndWave<double> wave(step.gas, end.predicted, 1.0);
  const solver::EndWave<double> beyond(step.gas, end.cell, 1.0);
  set_flux(flow_without_reflection(step.gas, wave, pressure_, beyond), end.area, step.dt);
}

}  // namespace pulsewright::models
