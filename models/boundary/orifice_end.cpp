#include "models/boundary/orifice_end.hpp"

#include <stdexcept>

namespace pulsewright::models {

OrificeEnd::OrificeEnd(const OrificeEndSpecification& spec, const BoundarySetup&)
    : SingleOrifice(spec.end), spec_(spec) {
  if (!spec.reservoir || !spec.area_ratio) {
    throw std::invalid_argument("orifice end: reservoir and area over time are needed");
  }
}

void OrificeEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const GasState gas = spec_.reservoir(step.time);
  const double phi = spec_.area_ratio(step.time);
  request_orifice(step, ends[0],
                  {gas.pressure, step.gas.enthalpy(gas.temperature, gas.burnt), gas.burnt}, phi,
                  phi);
}

}  // namespace pulsewright::models
