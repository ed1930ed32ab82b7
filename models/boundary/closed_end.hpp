// A wall at the end of a pipe: the gas is stopped exactly, by a rarefaction or a shock
// (flow_at_wall() of orifice.hpp).
#pragma once

#include "models/boundary/boundary.hpp"

namespace pulsewright::models {

class ClosedEnd : public SingleEnd {
 public:
  static constexpr bool is_outlet = false;

  ClosedEnd(const ClosedEndSpecification& spec, const BoundarySetup& setup);
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);
};
static_assert(Boundary<ClosedEnd>);

}  // namespace pulsewright::models
