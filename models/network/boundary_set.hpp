// All boundaries of a network: which pipe ends belong to which, and their phases of a time step.
//
// In: a specification and the states of the pipe ends. Out: the flux at each pipe end. Kinds of
// boundaries are listed in BoundaryKinds; any type that satisfies the concept Boundary
// (boundary/boundary.hpp) may be added.
#pragma once

#include <cstddef>
#include <tuple>
#include <vector>

#include "models/boundary/anechoic_end.hpp"
#include "models/boundary/closed_end.hpp"
#include "models/boundary/junction.hpp"
#include "models/boundary/open_end.hpp"
#include "models/boundary/orifice_end.hpp"
#include "models/boundary/perforate.hpp"
#include "models/boundary/prescribed_end.hpp"
#include "models/boundary/valve.hpp"
#include "models/network/pipe_set.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::models {

template <Boundary... Kinds>
using ListsOf = std::tuple<std::vector<Kinds>...>;

// One list per kind, each in the order of the specification; outlets() has the order of the kinds.
// A new kind: its name here, and a line in for_each_kind() (boundary_set.cpp).
using BoundaryKinds =
    ListsOf<Valve, OpenEnd, AnechoicEnd, OrificeEnd, PrescribedEnd, Junction, Perforate, ClosedEnd>;

class BoundarySet {
 public:
  // Throws std::invalid_argument for a pipe end that is used twice, or not at all.
  BoundarySet(const EngineSpecification& engine, const PipeSet& pipes);

  template <class Kind>
  const std::vector<Kind>& of() const {
    return std::get<std::vector<Kind>>(lists_);
  }
  // Two per cylinder: exhaust, intake.
  std::vector<Valve>& valves() { return std::get<std::vector<Valve>>(lists_); }

  // How many numbers of orifices they use.
  std::size_t orifices() const { return orifices_; }

  // One step, see boundary/boundary.hpp; time in s of its middle. set_fluxes() then gives the pipes
  // their fluxes.
  void begin_step(const PipeSet& pipes, double dt, double time);
  bool request(OrificeBatch& orifices, std::size_t first);
  void apply(const OrificeBatch& orifices, std::size_t first);
  void set_fluxes(PipeSet& pipes) const;

  // What left through each boundary that is an outlet, since the start: open ends, then anechoic,
  // orifice and prescribed ends.
  std::vector<Content> outlets() const;
  // Adds the gas that they contain.
  void add_content(Content& sum) const;
  // Where the state of a pipe comes from: the boundaries of that network, and its number there.
  struct Source {
    const BoundarySet* boundaries;
    int pipe;
  };
  // Takes over the state of the same boundaries of other networks: those at the source of the first
  // of their pipe ends that has one there. sources: by pipe. Anechoic ends may be others, since
  // those have no state. Throws std::invalid_argument, before anything is changed, where there is
  // no boundary of the kind.
  void start_from(const std::vector<Source>& sources);
  // The gas in the volume of every junction becomes the weighted mean of that of the same junctions
  // of other networks of the same specification.
  void set_mean_content(const std::vector<const BoundarySet*>& others,
                        const std::vector<double>& weights);

 private:
  template <class Kind, class Specification>
  void build(const std::vector<Specification>& specifications, const Ambient& ambient,
             const PipeSet& pipes);
  // The one of a kind that has the pipe end; null if none has.
  template <class Kind>
  const Kind* at(const PipeEnd& end) const;
  // action(boundary, its place among all, the number of its first orifice)
  template <class Self, class Action>
  static void for_each(Self& self, const Action& action);

  BoundaryKinds lists_;
  std::size_t orifices_ = 0;
  std::vector<char> requested_;       // whether each still has orifices to solve
  std::vector<PipeEndState> states_;  // of the ends of one boundary, work space
};

}  // namespace pulsewright::models
