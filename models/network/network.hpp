// All pipes of an engine with what they end in, except valves: steps the gas in time.
//
// One step: predict() the ends of every pipe; they answer with fluxes, computed from the predicted
// end states (close_ends() for junctions, open, closed and anechoic ends; set_flux() for valves);
// advance(). The answers need orifices to be solved, which is done in rounds, so that those of
// several networks can share their batches; and the pipes may be stepped side by side with those of
// other networks (seat()). The time step is one for all pipes, from the Courant number. Both
// methods answer to the same ends through the wave that arrives there; the method of
// characteristics takes pressure and velocity from the answer, and temperature and burnt fraction
// of what enters, and keeps mass and energy to its order only.
#pragma once

#include <optional>
#include <vector>

#include "models/boundary/junction.hpp"
#include "models/boundary/orifice.hpp"
#include "models/boundary/radiation.hpp"
#include "models/network/pipe_wall.hpp"
#include "models/network/specification.hpp"
#include "solver/pipe/pipe_ensemble.hpp"
#include "solver/pipe/pipe_update.hpp"

namespace pulsewright::models {

// Sums since the start of what left through an open or anechoic end: kg, kg, J.
struct OutletSums {
  double mass = 0;
  double burnt = 0;
  double energy = 0;
};

// Content of pipes and junctions: kg, kg, J.
struct Content {
  double mass = 0;
  double burnt = 0;
  double energy = 0;
};

class Network {
 public:
  // Throws std::invalid_argument for a specification that makes no network: a pipe end that is
  // used twice, or not at all (cylinders' ends count as used).
  // The limiter is that of the finite volumes.
  Network(const EngineSpecification& engine, const solver::Gas& gas, LimiterChoice limiter,
          Method method = Method::finite_volume);

  // Takes over the gas and the wall temperatures of the same network on another grid or with
  // somewhat other lengths. Throws std::invalid_argument when the parts do not match in number.
  void start_from(const Network& other);

  // Largest stable step times the Courant number, s.
  double stable_step(double courant) const;

  // Friction and heat transfer coefficients are renewed every few steps, counted from the last call
  // of this: a caller that knows a rhythm of the engine calls it in that rhythm, so that every
  // cycle samples them alike.
  void start_renewal() { steps_since_renewal_ = 0; }
  void predict(double dt);
  // orifices: work space, best the same one from step to step.
  void close_ends(double dt, OrificeBatch& orifices);
  void advance(double dt);

  // close_ends() in rounds: begin_ends(), then while ask() - the batch is solved - take(). ask()
  // adds the orifices that are to be solved next, numbered from `first` on, and is false when
  // all ends but those of valves have their fluxes.
  void begin_ends(double dt);
  bool ask(OrificeBatch& orifices, std::size_t first);
  void take(const OrificeBatch& orifices, std::size_t first);
  // How many numbers of orifices it uses.
  std::size_t orifices() const;

  // Side by side: pipe i takes seat `lane` of lanes[i], see solver::PipeEnsemble. The network must
  // then stay where it is, renew_walls() and lanes[i].predict() stand for predict(), and
  // lanes[i].advance() and collect() for advance().
  void seat(std::vector<solver::PipeEnsemble>& lanes, std::size_t lane);
  static void leave(std::vector<solver::PipeEnsemble>& lanes, std::size_t lane);
  void renew_walls();
  void collect(const std::vector<solver::PipeEnsemble>& lanes, std::size_t lane);
  // Empty lanes for this network and others like it: with as many pipes, of as many cells each, the
  // same gas and limiter. None for the method of characteristics.
  std::vector<solver::PipeEnsemble> lanes() const;
  bool alike(const std::vector<solver::PipeEnsemble>& lanes) const;

  // State at a pipe end, after predict(), and its wave relation.
  solver::Primitive<double> end_state(const PipeEnd& end) const;
  solver::EndWave<double> wave(const PipeEnd& end) const;
  double end_area(const PipeEnd& end) const;
  void set_flux(const PipeEnd& end, const EndFlux<double>& flux);
  // Adds what stands at the end as an opening to a reservoir, see OrificeBatch::add().
  void add_orifice(OrificeBatch& batch, std::size_t number, const PipeEnd& end,
                   const Reservoir<double>& reservoir, double phi_in, double phi_out) const;

  const solver::Gas& gas() const { return gas_; }
  const std::vector<solver::Pipe>& pipes() const { return pipes_; }
  const std::vector<Junction>& junctions() const { return junctions_; }
  Content content() const;
  // Open ends first, then anechoic ends, in the order of the specification.
  const std::vector<OutletSums>& outlets() const { return outlets_; }
  // kg/s out of each open end in the last step, same order.
  const std::vector<double>& outlet_flow() const { return outlet_flow_; }
  // J given to the gas by pipe walls since the start.
  double wall_heat() const;
  // Balances all wall temperatures over the elapsed time (s); returns the largest change, K.
  double settle_walls(double elapsed);
  // Number of pipe steps in which the fall-back near vacuum acted.
  long first_order_fallbacks() const { return first_order_fallbacks_; }

 private:
  void check_ends(const EngineSpecification& engine) const;
  // As wave(), of the mean of the cell at the end.
  solver::EndWave<double> end_cell(const PipeEnd& end) const;
  void add_open_ends(OrificeBatch& orifices, std::size_t first);
  void take_open_ends(const OrificeBatch& orifices, std::size_t first);
  void set_junction_fluxes();
  void count_outlet(std::size_t i, const PipeEnd& end, const EndFlux<double>& flux);

  solver::Gas gas_;
  Ambient ambient_;
  Reservoir<double> outside_;
  double outside_density_;  // kg/m3
  LimiterChoice limiter_;
  std::vector<solver::Pipe> pipes_;
  // With the method of characteristics: one per pipe, which then only holds what others read.
  std::vector<solver::CharacteristicPipe> lines_;
  std::vector<PipeWall> walls_;
  std::vector<Junction> junctions_;
  std::vector<std::vector<PipeEnd>> junction_ends_;
  std::vector<OpenEndSpecification> open_ends_;
  std::vector<Radiation> radiations_;  // of each open end
  std::vector<ClosedEndSpecification> closed_ends_;
  std::vector<AnechoicEndSpecification> anechoic_ends_;
  std::vector<OutletSums> outlets_;
  std::vector<double> outlet_flow_;
  std::vector<double> fastest_;                  // m/s, greatest |u| + c of each pipe
  std::vector<solver::Primitive<double>> ends_;  // of a junction, work space
  // Of the step that is being closed: its length in s, the round, and which junctions asked.
  double dt_ = 0;
  int round_ = 0;
  std::vector<bool> asked_;
  double settled_wall_heat_ = 0;
  long first_order_fallbacks_ = 0;
  long steps_since_renewal_ = 0;
};

}  // namespace pulsewright::models
