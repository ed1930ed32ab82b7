// A network: pipes with their walls, what they end in, and the cylinders behind its valves.
//
// In: an EngineSpecification; one without cylinders is a network of pipes alone. Out: the state of
// the gas, and sums of what passed its borders. The network offers the phases of a time step; their
// order is defined by TimeStepper::step() (time_step.hpp) alone. A network is a value: a
// copy goes on by itself.
#pragma once

#include <vector>

#include "models/cylinder/cylinders.hpp"
#include "models/network/boundary_set.hpp"
#include "models/network/pipe_set.hpp"
#include "models/network/pipe_wall.hpp"
#include "models/network/specification.hpp"
#include "models/network/symmetry.hpp"

namespace pulsewright::models {

// A time step: from crank angle to crank angle + turned, of the engine.
struct StepInterval {
  double dt = 0;      // s; 0 = no step
  double angle = 0;   // deg
  double turned = 0;  // deg
};

class Network {
 public:
  // speed: of the crank, rev/s; ignored without cylinders, which start with ambient gas at
  // crank angle 0. Throws std::invalid_argument for a specification that is not valid: a pipe
  // end that is used twice or not at all, a valve wider than its port.
  Network(const EngineSpecification& engine, const solver::Gas& gas, LimiterChoice limiter,
          Method method = Method::finite_volume, double speed = 0);

  // A part of another network: pipe or cylinder i.
  struct Source {
    const Network* network;
    std::size_t i;
  };
  // Takes over gas, wall temperatures and cylinders of the same network on another grid or with
  // somewhat other lengths, or of parts of several networks: for every pipe and every cylinder of
  // this one where it comes from, cylinders at the same crank angle of their own. Not taken over:
  // time, what passed the outlets and vents, wall heat, and the renewal of the walls. Throws
  // std::invalid_argument when the parts do not match in number, or no boundary does; the network
  // is then as it was.
  void start_from(const std::vector<Source>& pipes, const std::vector<Source>& cylinders);

  // Makes cylinders that are the same by symmetry alike, and the pipes that go with them: each
  // takes the mean of what its preimages were. earlier[k]: this network k turns of the symmetry
  // ago, for k from 0 to the order - 1. Junctions and open ends stay as they are, since what they
  // hold is soon replaced: the state is near a symmetric one, not exactly such.
  void make_alike(const EngineSymmetry& symmetry, const std::vector<Network>& earlier);

  // Takes the weighted mean of the states of other networks of the same specification at the same
  // crank angle: of the gas in pipes, cylinders and junctions and of the wall temperatures.
  // weights: as many, of either sign, their sum 1; what must be positive is a geometric mean. Other
  // boundaries keep the state that they have, which is soon replaced.
  void set_mean(const std::vector<const Network*>& networks, const std::vector<double>& weights);

  // Largest stable step times the Courant number, s.
  double stable_step(double courant) const { return pipes_.stable_step(courant); }
  // Friction and heat transfer coefficients are renewed every few steps, counted from the last call
  // of this: a caller that knows a period of the engine calls it once per period, so that every
  // cycle samples them alike.
  void start_renewal() { steps_since_renewal_ = 0; }

  // ---- The phases of a time step, in the order of TimeStepper::step(). Throw solver::Fault.
  void renew_walls();
  void predict(double dt) { pipes_.predict(dt); }
  void begin_boundaries(const StepInterval& step);
  bool request(OrificeBatch& orifices, std::size_t first) {
    return boundaries_.request(orifices, first);
  }
  void apply(const OrificeBatch& orifices, std::size_t first) {
    boundaries_.apply(orifices, first);
  }
  void set_fluxes() { boundaries_.set_fluxes(pipes_); }
  void step_cylinders(const StepInterval& step);
  void advance(double dt) { pipes_.advance(dt); }
  void end_step(const StepInterval& step) { time_ += step.dt; }
  // How many numbers of orifices it uses.
  std::size_t orifices() const { return boundaries_.orifices(); }
  // For solver::PipeEnsemble.
  PipeSet& pipe_set() { return pipes_; }
  const PipeSet& pipe_set() const { return pipes_; }

  // ---- The state
  const solver::Gas& gas() const { return pipes_.gas(); }
  double time() const { return time_; }  // s since the start
  const std::vector<solver::Pipe>& pipes() const { return pipes_.pipes(); }
  const std::vector<Junction>& junctions() const { return boundaries_.of<Junction>(); }
  const std::vector<OpenEnd>& open_ends() const { return boundaries_.of<OpenEnd>(); }
  const BoundarySet& boundaries() const { return boundaries_; }
  const Cylinders& cylinders() const { return cylinders_; }
  // Valves of cylinder i: flux into the port in the last step, per area of the port (m2).
  const EndFlux<double>& exhaust_flux(std::size_t i) const { return valve(2 * i).flux(0); }
  const EndFlux<double>& intake_flux(std::size_t i) const { return valve(2 * i + 1).flux(0); }
  double exhaust_area(std::size_t i) const { return valve(2 * i).end_area(); }  // m2
  double intake_area(std::size_t i) const { return valve(2 * i + 1).end_area(); }
  // Of pipes, boundaries and cylinders.
  Content content() const;
  // What left by the outlets since the start, see BoundarySet::outlets().
  std::vector<Content> outlets() const { return boundaries_.outlets(); }
  // What came in through the vents of junctions since the start.
  Content vented() const;
  // J given to the gas by pipe walls since the start.
  double wall_heat() const;
  // Balances all wall temperatures over the elapsed time (s), see PipeWall::balance_temperature();
  // returns the largest change, K.
  double balance_wall_temperatures(double elapsed);
  long first_order_fallbacks() const { return pipes_.first_order_fallbacks(); }

 private:
  const Valve& valve(std::size_t i) const { return boundaries_.of<Valve>()[i]; }
  void open_valves(const StepInterval& step);
  void set_mean_gas(const std::vector<std::vector<const solver::Pipe*>>& pipe_sources,
                    const std::vector<std::vector<Cylinders::Source>>& cylinder_sources,
                    const std::vector<double>& weights);

  PipeSet pipes_;
  std::vector<PipeWall> walls_;
  BoundarySet boundaries_;
  Cylinders cylinders_;
  std::vector<double> firing_angle_;  // deg, of each cylinder
  double time_ = 0;
  double balanced_wall_heat_ = 0;  // J, up to the last balance
  long steps_since_renewal_ = 0;
};

}  // namespace pulsewright::models
