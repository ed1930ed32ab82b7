// An open end: an orifice to air at rest, of the pipe's area or less, with the
// inertia of the air outside and the sound that it carries away (radiation.hpp).
//
// Gas that enters loses the entry loss K on rho v^2 / 2; as mixing behind a contracted flow loses
// (1/phi^2 - 1) rho v^2 / 2, the effective area ratio r becomes phi = r / sqrt(1 + r^2 K).
#pragma once

#include "models/boundary/boundary.hpp"
#include "models/boundary/radiation.hpp"

namespace pulsewright::models {

class OpenEnd : public SingleOrifice {
 public:
  static constexpr bool has_state = true;  // of its radiation

  OpenEnd(const OpenEndSpecification& spec, const BoundarySetup& setup);
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);
  void apply(const OrificeBatch& batch, std::size_t first);
  void start_from(const OpenEnd& other) { radiation_ = other.radiation_; }

  // m3/s out of the pipe in the last step, at the pressure of the air outside: of gas that leaves
  // at its temperature at the end, of air that enters as it was outside.
  double volume_flow() const;

 private:
  double area_ratio_;
  double phi_into_pipe_;
  bool end_correction_;
  Reservoir<double> outside_;
  double outside_density_;  // kg/m3
  Radiation radiation_;
};
static_assert(Boundary<OpenEnd>);

}  // namespace pulsewright::models
