// The interface of every boundary: all that pipes end in.
//
// In: the predicted states of its pipe ends. Out: the flux through each of them
// (tools/dev/decisions/0001-ends-return-fluxes.md). No ghost cells; who steps the pipes knows
// nothing of the boundary, and the boundary nothing of the cells.
//
// One time step:
//   begin_step(step, ends)   takes the states of its ends, in the order of ends()
//   request(batch, first)    adds the orifices that are to be solved next, numbered from `first`
//                            on; false when all its fluxes are known
//   apply(batch, first)      takes their flows, after the batch was solved; only after a request
//                            that was true; throws solver::Fault with the name of the boundary
//                            where one has no solution
//   flux(k)                  the flux at its end k
// request() and apply() are the fixed-point iteration of fixed_point_iteration() below: the
// orifices of all boundaries, and of all networks that are stepped together, are solved in one
// batch. A boundary without orifices returns false at once. Boundaries are values: a copy goes on
// by itself. None of these functions allocates memory once the first steps are done.
//
// To write one, start from SingleEnd, or from SingleOrifice where it is an orifice to a reservoir,
// and see closed_end.hpp for the shortest.
#pragma once

#include <cmath>
#include <concepts>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <utility>

#include "models/boundary/orifice_batch.hpp"
#include "models/boundary/specification.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

// An amount of gas, contained or passed: kg, kg, J.
struct Content {
  double mass = 0;
  double burnt = 0;
  double energy = 0;
};

// What a boundary may know of one of its pipe ends in a step. Velocities are counted into the pipe.
struct PipeEndState {
  // At the end, as the method of the pipes predicts it: finite volumes for the middle of the step,
  // characteristics for its end.
  solver::Primitive<double> predicted{};
  double area = 0;  // m2
  // Mean of the cell at the end, at the start of the step, and its temperature, K: known when a
  // boundary is built, and in every step of one whose reads_cell is true; else NaN.
  solver::Primitive<double> cell{unknown, unknown, unknown, unknown};
  double T = unknown;

 private:
  static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
};

struct BoundaryStep {
  const solver::Gas& gas;
  double dt;    // s, length of the step
  double time;  // s, middle of the step
};

// What a boundary is built with.
struct BoundarySetup {
  const solver::Gas& gas;
  Ambient ambient;
  std::span<const PipeEndState> ends;  // of the gas that the pipes are filled with, at rest
  std::string name = "pipe end";       // of its first pipe end, for messages
};

// The flux, where it has a solution; else throws solver::Fault. part: the boundary.
inline const EndFlux<double>& with_solution(const EndFlux<double>& flux, const std::string& part) {
  if (std::isnan(flux.momentum)) {  // which holds the pressure that was searched for
    throw solver::Fault(part, "no solution of the boundary condition, momentum flux in Pa",
                        flux.momentum, -1);
  }
  return flux;
}

// A value of a course in time; throws solver::Fault where it is not finite or not within the
// bounds. part: the boundary.
inline double course_value(const std::string& part, const char* quantity, double value,
                           double least, double most) {
  if (!(value >= least && value <= most && std::isfinite(value))) {
    throw solver::Fault(part, quantity, value, -1);
  }
  return value;
}

template <class T>
concept Boundary = std::copyable<T> &&
    requires(T boundary, const T& known, const BoundaryStep& step,
             std::span<const PipeEndState> states, OrificeBatch& batch, std::size_t i) {
  { known.ends() } -> std::same_as<std::span<const PipeEnd>>;
  { T::reads_cell } -> std::convertible_to<bool>;
  // Whether what passes it leaves the network: then it has outflow().
  { T::is_outlet } -> std::convertible_to<bool>;
  // Whether it carries a state from step to step, for start_from().
  { T::has_state } -> std::convertible_to<bool>;
  // How many numbers of orifices it uses.
  { known.orifices() } -> std::same_as<std::size_t>;
  // Throw solver::Fault.
  boundary.begin_step(step, states);
  { boundary.request(batch, i) } -> std::same_as<bool>;
  boundary.apply(batch, i);
  { known.flux(i) } -> std::convertible_to<const EndFlux<double>&>;
  // Gas that it contains.
  { known.content() } -> std::same_as<Content>;
  // Takes over the state of the same boundary of another network.
  boundary.start_from(known);
};

// The fixed-point iteration between boundaries: request() adds orifices to the batch, or is false
// when every boundary knows its fluxes; apply() takes what was solved.
template <class Request, class Apply>
void fixed_point_iteration(OrificeBatch& orifices, const solver::Gas& gas, const Request& request,
                           const Apply& apply) {
  while (true) {
    orifices.clear();
    if (!request()) return;
    orifices.solve(gas);
    apply();
  }
}

// One step of a boundary by itself. orifices: work space, best the same one from step to step.
// Throws solver::Fault.
template <Boundary T>
void solve_alone(T& boundary, const BoundaryStep& step, std::span<const PipeEndState> ends,
                 OrificeBatch& orifices) {
  boundary.begin_step(step, ends);
  fixed_point_iteration(
      orifices, step.gas, [&] { return boundary.request(orifices, 0); },
      [&] { boundary.apply(orifices, 0); });
}

// Common part of boundaries with one pipe end; usable as it is for one without an orifice.
class SingleEnd {
 public:
  static constexpr bool reads_cell = false;
  static constexpr bool is_outlet = true;
  static constexpr bool has_state = false;

  // name: in messages
  SingleEnd(const PipeEnd& end, std::string name) : end_(end), name_(std::move(name)) {}

  std::span<const PipeEnd> ends() const { return {&end_, 1}; }
  std::size_t orifices() const { return 0; }
  bool request(OrificeBatch&, std::size_t) { return false; }
  void apply(const OrificeBatch&, std::size_t) {}
  const EndFlux<double>& flux(std::size_t) const { return flux_; }
  Content content() const { return {}; }
  void start_from(const SingleEnd&) {}

  // What left the pipe through the end since the start, and kg/s in the last step.
  const Content& outflow() const { return outflow_; }
  double mass_flow() const { return mass_flow_; }

 protected:
  const std::string& name() const { return name_; }
  // area in m2, dt in s. Throws solver::Fault for a flux that is NaN.
  void set_flux(const EndFlux<double>& flux, double area, double dt) {
    flux_ = with_solution(flux, name_);
    mass_flow_ = -area * flux.mass;
    outflow_.mass -= dt * area * flux.mass;
    outflow_.burnt -= dt * area * flux.burnt;
    outflow_.energy -= dt * area * flux.energy;
  }

 private:
  PipeEnd end_;
  std::string name_;
  EndFlux<double> flux_{};
  Content outflow_;
  double mass_flow_ = 0;
};

// Common part of boundaries that are one orifice between a pipe end and a reservoir (orifice.hpp).
class SingleOrifice : public SingleEnd {
 public:
  SingleOrifice(const PipeEnd& end, std::string name, const BoundarySetup& setup)
      : SingleEnd(end, std::move(name)), area_(setup.ends[0].area) {}

  std::size_t orifices() const { return 1; }
  double end_area() const { return area_; }  // m2, of the pipe
  bool request(OrificeBatch& batch, std::size_t first) {
    if (!open_) return false;
    if (static_pressure_) {
      batch.add_at_static_pressure(first, predicted_, 1.0, reservoir_);
    } else {
      batch.add(first, predicted_, 1.0, reservoir_, phi_into_pipe_, phi_out_of_pipe_);
    }
    return true;
  }
  void apply(const OrificeBatch& batch, std::size_t first) {
    set_flux(batch.flux(first), area_, dt_);
    open_ = false;
  }

 protected:
  // Effective areas over that of the pipe, for gas that enters the pipe and that leaves it: 0 .. 1.
  void request_orifice(const BoundaryStep& step, const PipeEndState& end,
                       const Reservoir<double>& reservoir, double phi_into_pipe,
                       double phi_out_of_pipe) {
    open_ = true;
    static_pressure_ = false;
    dt_ = step.dt;
    predicted_ = end.predicted;
    reservoir_ = reservoir;
    phi_into_pipe_ = phi_into_pipe;
    phi_out_of_pipe_ = phi_out_of_pipe;
  }
  // The end has the static pressure of the reservoir, see flow_at_static_pressure().
  void request_static_pressure(const BoundaryStep& step, const PipeEndState& end,
                               const Reservoir<double>& reservoir) {
    request_orifice(step, end, reservoir, 1.0, 1.0);
    static_pressure_ = true;
  }

 private:
  double area_;  // m2
  // Of the running step.
  bool open_ = false;  // not solved yet
  bool static_pressure_ = false;
  double dt_ = 0;  // s
  solver::Primitive<double> predicted_{};
  Reservoir<double> reservoir_{};
  double phi_into_pipe_ = 0, phi_out_of_pipe_ = 0;
};

}  // namespace pulsewright::models
