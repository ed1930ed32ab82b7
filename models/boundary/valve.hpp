// A poppet valve as the end of a pipe: an orifice between port and cylinder whose area follows from
// the lift (poppet_valve.hpp). The state of the cylinder is set before each step; its flux serves
// port and cylinder alike, so that what leaves one enters the other, exactly.
//
// Direction. Flow curves are those of a flow bench: `forward` is the way the gas is meant to go,
// out of the cylinder at an exhaust valve and into it at an intake valve. From here on everything
// is counted into the pipe; this is the only place where one becomes the other.
#pragma once

#include <memory>
#include <string>

#include "models/boundary/boundary.hpp"
#include "models/boundary/poppet_valve.hpp"

namespace pulsewright::models {

// Which way gas is meant to pass a valve.
enum class ValveKind { exhaust, intake };

class Valve : public SingleOrifice {
 public:
  static constexpr bool is_outlet = false;  // the cylinder is a part of the network

  struct Specification {
    std::string cylinder;  // its name in messages
    PipeEnd end;
    ValveKind kind;
    // One for all valves that are equal: their tables are read in every step of every cylinder.
    std::shared_ptr<const PoppetValve> valve;
  };

  // Throws std::invalid_argument where its effective area is larger than its port.
  Valve(const Specification& spec, const BoundarySetup& setup);

  double lift(double angle) const { return valve_->lift(angle); }  // m; deg of the cylinder
  // Before begin_step(): the lift in the middle of the step, m, and the state of the cylinder.
  void set_cylinder(double lift, const Reservoir<double>& cylinder) {
    lift_ = lift;
    cylinder_ = cylinder;
  }
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);

 private:
  ValveKind kind_;
  std::shared_ptr<const PoppetValve> valve_;
  double lift_ = 0;
  Reservoir<double> cylinder_{};
};
static_assert(Boundary<Valve>);

}  // namespace pulsewright::models
