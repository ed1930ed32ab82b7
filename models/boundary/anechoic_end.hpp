// An end without reflection (anechoic): an infinite pipe filled with gas at ambient pressure
// (flow_without_reflection() of orifice.hpp). What enters has the entropy and the composition of
// the last cell, continued outside.
#pragma once

#include "models/boundary/boundary.hpp"

namespace pulsewright::models {

class AnechoicEnd : public SingleEnd {
 public:
  static constexpr bool reads_cell = true;

  AnechoicEnd(const AnechoicEndSpecification& spec, const BoundarySetup& setup);
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);

 private:
  double pressure_;  // Pa, of the gas outside
};
static_assert(Boundary<AnechoicEnd>);

}  // namespace pulsewright::models
