// An orifice between the end of a pipe and a reservoir whose state, and the orifice's area, follow
// a given course in time: a vessel that is emptied, a valve that opens (orifice.hpp).
#pragma once

#include "models/boundary/boundary.hpp"

namespace pulsewright::models {

class OrificeEnd : public SingleOrifice {
 public:
  // Throws std::invalid_argument where no course in time is given.
  OrificeEnd(const OrificeEndSpecification& spec, const BoundarySetup& setup);
  // Throws solver::Fault unless pressure and temperature are positive and finite, and burnt
  // fraction and area ratio within 0 .. 1.
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);

 private:
  OrificeEndSpecification spec_;
};
static_assert(Boundary<OrificeEnd>);

}  // namespace pulsewright::models
