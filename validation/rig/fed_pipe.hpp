// The first pipe of a network, fed at its left end with a given mass flow of gas of a given
// stagnation temperature; everything else as the specification says.
#pragma once

#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

struct FedPipe {
  solver::Gas gas;
  PipeRig rig;

  // mass_flow in kg/s, T0 in K.
  FedPipe(const solver::Gas& g, const models::EngineSpecification& spec, double mass_flow,
          double T0)
      : gas(g), rig(spec, gas, {{{0, models::Side::left}, feed(mass_flow, T0)}}) {}
  FedPipe(const FedPipe&) = delete;
  FedPipe& operator=(const FedPipe&) = delete;

 private:
  // The pressure follows the pipe; mass and enthalpy are given.
  PipeRig::Drive feed(double mass_flow, double T0) {
    return [this, mass_flow, T0](const solver::EndWave<double>& wave, double) {
      const double G = mass_flow / rig.pipe(0).area_left();
      const double h0 = gas.enthalpy(T0, 0.0);
      double p = wave.p;
      double v = 0;
      for (int i = 0; i < 30; ++i) {
        const double T = gas.temperature_from_enthalpy(h0 - 0.5 * v * v, 0.0);
        v = G * gas.gas_constant(0.0) * T / p;
        p = wave.pressure(v);
      }
      return models::EndFlux<double>{G, G * v + p, G * h0, 0, p, v, 0};
    };
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
