#include "models/boundary/valve.hpp"

#include <stdexcept>

namespace pulsewright::models {

Valve::Valve(const Specification& spec, const BoundarySetup& setup)
    : SingleOrifice(spec.end,
                    (spec.kind == ValveKind::exhaust ? "exhaust valve of " : "intake valve of ") +
                        spec.cylinder,
                    setup),
      kind_(spec.kind),
      valve_(spec.valve) {
  if (valve_->widest() > setup.ends[0].area) {
    throw std::invalid_argument(spec.cylinder +
                                ": the effective area of a valve is larger than its port");
  }
}

void Valve::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const double forward = valve_->area_forward(lift_) / ends[0].area;
  const double reverse = valve_->area_reverse(lift_) / ends[0].area;
  const bool forward_is_into_pipe = kind_ == ValveKind::exhaust;
  request_orifice(step, ends[0], cylinder_, forward_is_into_pipe ? forward : reverse,
                  forward_is_into_pipe ? reverse : forward);
}

}  // namespace pulsewright::models
