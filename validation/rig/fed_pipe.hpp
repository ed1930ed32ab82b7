// The first pipe of a network, fed at its left end with a given mass flow of gas of a given
// stagnation temperature; everything else as the specification says.
#pragma once

#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

struct FedPipe {
  PipeRig rig;

  // mass_flow in kg/s, T0 in K.
  FedPipe(const solver::Gas& gas, const models::EngineSpecification& spec, double mass_flow,
          double T0)
      : rig(fed(spec, mass_flow, T0), gas) {}

 private:
  static models::EngineSpecification fed(models::EngineSpecification spec, double mass_flow,
                                         double T0) {
    spec.prescribed_ends.push_back({{0, models::Side::left},
                                    models::PrescribedQuantity::mass_flow,
                                    [=](double) { return mass_flow; },
                                    T0});
    return spec;
  }
};

// One pipe into a pipe without end.
inline models::EngineSpecification endless(models::PipeSpecification pipe) {
  models::EngineSpecification e;
  e.pipes = {std::move(pipe)};
  e.anechoic_ends = {{{0, models::Side::right}}};
  return e;
}

}  // namespace pulsewright::validation
