// The pipes of a network and the method that steps them: finite volumes or characteristics, chosen
// once at construction.
//
// In: the flux at every pipe end. Out: the predicted state of every pipe end, and the gas in the
// cells, which both methods store in solver::Pipe. Both methods
// have the same boundaries through the wave that arrives at an end. The method of characteristics
// takes pressure and velocity from the flux, and temperature and burnt fraction of what enters, and
// keeps mass and energy to its order only.
#pragma once

#include <variant>
#include <vector>

#include "models/boundary/boundary.hpp"
#include "models/network/specification.hpp"
#include "solver/pipe/characteristics.hpp"
#include "solver/pipe/pipe_ensemble.hpp"
#include "solver/pipe/pipe_update.hpp"

namespace pulsewright::models {

// MUSCL-Hancock with one limiter (solver/pipe/pipe_update.hpp).
template <class Limiter>
class FiniteVolumes {
 public:
  using Scheme = solver::PipeUpdate<solver::FluxHllc, Limiter>;

  void start(const std::vector<solver::Pipe>&, const solver::Gas&) {}
  void predict(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt);
  template <bool with_cell>
  PipeEndState end(const solver::Pipe& pipe, std::size_t i, Side side) const;
  void set_flux(solver::Pipe& pipe, std::size_t i, Side side, const solver::Gas& gas,
                const EndFlux<double>& flux);
  // fastest: greatest |u| + c of each pipe, m/s. Returns the number of pipes in which the
  // first-order fallback acted. Throws solver::Fault.
  long advance(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt,
               std::vector<double>& fastest);
  // Ensembles for these pipes and others of equal cells; empty if the method has no ensembles.
  std::vector<solver::PipeEnsemble> ensembles(const std::vector<solver::Pipe>& pipes,
                                              const solver::Gas& gas) const;
  bool matches(const solver::PipeEnsemble& ensemble, const solver::Pipe& pipe,
               const solver::Gas& gas) const;
};

// solver/pipe/characteristics.hpp. Its results are copied to the pipes.
class Characteristics {
 public:
  void start(const std::vector<solver::Pipe>& pipes, const solver::Gas& gas);
  void predict(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt);
  template <bool with_cell>
  PipeEndState end(const solver::Pipe& pipe, std::size_t i, Side side) const;
  void set_flux(solver::Pipe& pipe, std::size_t i, Side side, const solver::Gas& gas,
                const EndFlux<double>& flux);
  long advance(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt,
               std::vector<double>& fastest);
  std::vector<solver::PipeEnsemble> ensembles(const std::vector<solver::Pipe>&,
                                              const solver::Gas&) const {
    return {};
  }
  bool matches(const solver::PipeEnsemble&, const solver::Pipe&, const solver::Gas&) const {
    return false;
  }

 private:
  std::vector<solver::CharacteristicPipe> pipes_;
};

class PipeSet {
 public:
  // Throws std::invalid_argument for a pipe that is not valid.
  PipeSet(const NetworkSpecification& network, const solver::Gas& gas, LimiterChoice limiter,
          Method method);

  const solver::Gas& gas() const { return gas_; }
  const std::vector<solver::Pipe>& pipes() const { return pipes_; }
  std::vector<solver::Pipe>& pipes() { return pipes_; }

  // Largest stable step times the Courant number, s.
  double stable_step(double courant) const;

  // An end of a pipe as it was filled: nothing is predicted yet.
  PipeEndState end_at_rest(const PipeEnd& end) const;

  // One time step of dt (s): predict(), end() of every pipe end, set_flux() for every pipe end,
  // advance(). Throws solver::Fault.
  void predict(double dt);
  template <bool with_cell>
  PipeEndState end(const PipeEnd& end) const;
  void set_flux(const PipeEnd& end, const EndFlux<double>& flux);
  void advance(double dt);

  // In ensembles: pipe i is member `member` of ensembles[i]. The pipes must then stay where they
  // are; ensembles[i].predict() and advance() replace predict() and advance(), and after them
  // collect() returns what advance() would have returned. Throws solver::Fault.
  std::vector<solver::PipeEnsemble> ensembles() const;
  bool matches(const std::vector<solver::PipeEnsemble>& ensembles) const;
  void collect(const std::vector<solver::PipeEnsemble>& ensembles, std::size_t member);

  // Takes over gas and wall temperatures of the same pipes on another grid or of somewhat other
  // lengths: sources, one for each. Throws std::invalid_argument where they do not match in number.
  void start_from(const std::vector<const solver::Pipe*>& sources);
  // Gas and wall of each pipe become the weighted mean of those of other pipes of the same cells.
  // weights: of the sources of every pipe, see weighted_mean.hpp.
  void set_mean_gas(const std::vector<std::vector<const solver::Pipe*>>& sources,
                    const std::vector<double>& weights);
  // Number of steps of a pipe in which the first-order fallback near vacuum acted.
  long first_order_fallbacks() const { return first_order_fallbacks_; }

 private:
  solver::Gas gas_;
  std::vector<solver::Pipe> pipes_;
  std::vector<double> fastest_;  // m/s, greatest |u| + c of each pipe
  long first_order_fallbacks_ = 0;
  std::variant<FiniteVolumes<solver::LimiterMonotonizedCentral>,
               FiniteVolumes<solver::LimiterVanLeer>, FiniteVolumes<solver::LimiterMinmod>,
               Characteristics>
      method_;
};

}  // namespace pulsewright::models
