#include "models/boundary/orifice_end.hpp"

#include <limits>
#include <stdexcept>

namespace pulsewright::models {

OrificeEnd::OrificeEnd(const OrificeEndSpecification& spec, const BoundarySetup& setup)
    : SingleOrifice(spec.end, setup.name, setup), spec_(spec) {
  if (!spec.reservoir || !spec.area_ratio) {
    throw std::invalid_argument("orifice end: reservoir and area over time are needed");
  }
}

void OrificeEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  constexpr double positive = std::numeric_limits<double>::min();
  constexpr double finite = std::numeric_limits<double>::max();
  const GasState gas = spec_.reservoir(step.time);
  course_value(name(), "pressure of the reservoir in Pa", gas.pressure, positive, finite);
  course_value(name(), "temperature of the reservoir in K", gas.temperature, positive, finite);
  course_value(name(), "burnt fraction of the reservoir", gas.burnt, 0, 1);
  const double phi =
      course_value(name(), "area ratio of the orifice", spec_.area_ratio(step.time), 0, 1);
  request_orifice(step, ends[0],
                  {gas.pressure, step.gas.enthalpy(gas.temperature, gas.burnt), gas.burnt}, phi,
                  phi);
}

}  // namespace pulsewright::models
