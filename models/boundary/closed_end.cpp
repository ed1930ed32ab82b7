#include "models/boundary/closed_end.hpp"

namespace pulsewright::models {

ClosedEnd::ClosedEnd(const ClosedEndSpecification& spec, const BoundarySetup& setup)
    : SingleEnd(spec.end, setup.name) {}

void ClosedEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const solver::EndWave<double> wave(step.gas, ends[0].predicted, 1.0);
  set_flux(flow_at_wall(wave), ends[0].area, step.dt);
}

}  // namespace pulsewright::models
