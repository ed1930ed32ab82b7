// A junction of pipes: a small control volume with one of three laws.
//
//   dm/dt = -sum A m_k     dE/dt = -sum A q_k     d(mY)/dt = -sum A b_k          (all laws)
//   dP/dt = -sum_in A rho v^2 n - sum_out A m_k w                                (momentum law)
//
// m_k, q_k, b_k: fluxes into pipe k; v: velocity into it; n: unit vector from the junction into
// the pipe; p: static pressure of the volume, p'_k = p + the offset of port k.
//
// Momentum law: gas that comes in keeps its direction; the content moves with w = P/m and gives a
// pipe that it feeds its momentum. With u = |w| g(a), a the angle between w and n, the end of a
// pipe that is fed has the static pressure
//   p_k = p'_k + rho v (u - v) + (1 - z) rho (u - v)^2 / 2
//   v < u:  z = 1 - dividing_relief min(1, 2 s) max(0, cos a)^2,  s: share of what flows forward
//           that goes to other pipes. z = 1 is the balance of momentum, exactly: Borda-Carnot for
//           two pipes (Benedict et al., J. Eng. Power 88 (1966) 73), in Idelchik (2006), chapter 7,
//           the limit of arms that together have the area of the common pipe.
//   v > u:  z = contraction_loss (1 + 7 M^2): streams that are accelerated together lose little
//   g(a) = 0.383 + 0.677 cos a - 0.060 cos^2 a, which is cos(3 a / 4) of Bassett, Winterbone &
//   Pearson, Proc. IMechE C 215 (2001) 861, within 0.005 up to 90 degrees.
// Against the content (cos a < -1/2) a pipe is fed at the static pressure. Gas that turns back
// round the crotch loses turning_loss x share x max(0, -cos(turn)) heads of its own. A pipe from
// which gas comes discharges against p'_k, so a jet lowers the pressure at the neighbouring ports.
// Offsets: tube_ring.hpp; zero in steady flow without jets from the side.
// Bounds: what a choked pipe brings beyond the pressure of the merge expands to all sides and does
// not drive the outflow, which would empty the merge; w is at most 1.6 times the mean speed of the
// jets, where most of the gas turns back and the rest would take its momentum.
// Where w comes from one direction and z is 1, steady flow obeys the balance of momentum with one
// static pressure at the inflowing ends; else the walls of the merge take what is left.
//
// Held against measurements of junctions of three pipes, 30 to 90 degrees, equal and unequal areas
// (validation/junctions): combining within 0.15 heads of the common pipe, dividing within 0.1.
// Held against pulses in three dimensions: validation/merge.
//
// Constant-pressure law: one static pressure at every end (Benson (1982), chapter 6). Plenum law:
// the kinetic energy of the inflow is dissipated, the ends are fed from rest; a port may be a
// throttle (Branch::into_pipe).
//
// Time. The content of the momentum law is so small that it follows the pipes within a step: its
// pressure, velocity, enthalpy and composition are solved implicitly, from the admittance of the
// pipes and two evaluations of the ports, and the fluxes of the second one apply; what is left over
// stays in the volume, so that nothing is lost, and corrects the next step. The weight of the
// step's end, (1 + x) / (2 + x) for a step of x relaxation times, makes a disturbance decay as
// 2 / (2 + 2x + x^2): of second order for large volumes, strongly damped for small ones. Long steps
// are divided. The other laws take substeps in which the content may change by most_change,
// extrapolated from the one before (Adams and Bashforth).
//
// Valid for a volume short against the waves. Not modelled: choking of the merge below Mach 1
// (measured: the common leg of tees and wyes of 30 to 90 degrees passes Mach 0.65 at most,
// Abou-Haidar & Dixon (1992)); the mixing length of the jets.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "models/boundary/boundary.hpp"
#include "models/boundary/direction.hpp"
#include "models/boundary/specification.hpp"
#include "models/boundary/tube_ring.hpp"

namespace pulsewright::models {

struct JunctionContent {
  double mass;                     // kg
  double energy;                   // J, internal and kinetic
  double burnt;                    // kg
  std::array<double, 3> momentum;  // kg m/s
};

// Static state of the content.
struct JunctionState {
  double p;  // Pa
  double T;  // K
  double Y;
  double c2;  // m2/s2
  double gamma;
  std::array<double, 3> w;  // m/s
  Reservoir<double> rest;   // at p with the total enthalpy
};

JunctionState junction_state(const solver::Gas& gas, const JunctionContent& content, double volume);

class Junction {
 public:
  static constexpr bool reads_cell = false;
  static constexpr bool is_outlet = false;  // but see vented()
  static constexpr bool has_state = true;

  // Starts with the gas at the first of its ends, at rest. Throws std::invalid_argument.
  Junction(const JunctionSpecification& spec, const BoundarySetup& setup);
  // By itself. areas: of the branch pipes at the junction, m2, in the order of spec.branches.
  Junction(const JunctionSpecification& spec, std::vector<double> areas, Ambient ambient);

  void fill(const solver::Gas& gas, double p, double T, double Y);

  // Takes the step with the pipe end states frozen; flux() is the mean into each pipe. The branch
  // ports are solved twice a step with the momentum law, once per substep with the others. See
  // boundary.hpp.
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);
  bool request(OrificeBatch& orifices, std::size_t first);
  void apply(const OrificeBatch& orifices, std::size_t first);
  const EndFlux<double>& flux(std::size_t k) const { return mean_[k]; }
  std::span<const PipeEnd> ends() const { return pipe_ends_; }
  std::size_t orifices() const { return rounds * areas_.size(); }
  Content content() const {
    return {volume_content_.mass, volume_content_.burnt, volume_content_.energy};
  }
  // The content alone: the other one may have other pipes and constants, and the waves at the ports
  // are those of this network within microseconds.
  void start_from(const Junction& other) { set_volume_content(other.volume_content_); }

  void set_volume_content(const JunctionContent& content) {
    volume_content_ = content;
    rate_ = {};
  }
  const JunctionContent& volume_content() const { return volume_content_; }
  JunctionState state(const solver::Gas& gas) const {
    return junction_state(gas, volume_content_, volume_);
  }
  // What comes into the content from now on beside what the ports bring, kg/s, kg/s and W; without
  // momentum where it comes in, with that of the content where it leaves. Momentum law only.
  void set_source(const JunctionContent& per_second) {
    source_ = per_second;
    has_source_ = true;
  }
  double volume() const { return volume_; }
  // What came in through the vent to the atmosphere since the start.
  const Content& vented() const { return vented_; }

 private:
  // The content dt (s) later if it goes on as in the last substep.
  JunctionContent after(double dt) const;
  // Change of the content per second through the ports and the vent, but for its momentum.
  void add_ports(JunctionContent& rate) const;
  // What comes in through the vent per second.
  JunctionContent vent_flow() const;
  void set_content(const JunctionContent& content);

  void begin_substeps(double dt, double reach);
  void finish_substep();
  void add_to_mean();
  // As add_ports(), with the vent, whose flow of the substep is counted.
  JunctionContent rate_of_substep();

  // Momentum law.
  void begin_implicit_step();
  void mix();
  void look_along();
  double forward_flow() const;
  double forward_share() const;
  Vector limited(Vector w) const;
  Reservoir<double> port(std::size_t k, double forward) const;
  double back_turn(std::size_t k) const;
  void correct_pressure();
  void finish_implicit_step();

  JunctionSpecification spec_;
  JunctionConstants constants_;
  std::vector<PipeEnd> pipe_ends_;
  std::vector<double> areas_;
  std::vector<Vector> directions_;
  Ambient ambient_;
  // From pipe to pipe, cosine of the angle between them, 0 where it is above 90 degrees.
  std::vector<double> beside_;
  double volume_;
  TubeRing ring_;
  JunctionContent volume_content_{};
  JunctionContent rate_{};  // its change per second in the last substep
  Content vented_;
  JunctionContent source_{};
  bool has_source_ = false;
  // Of the running step:
  std::optional<solver::Gas> gas_;
  std::vector<solver::Primitive<double>> end_states_;
  std::vector<EndFlux<double>> mean_;
  int substeps_ = 1, substep_ = 0;
  double h_ = 0;  // s, of a substep
  JunctionState midpoint_{};
  std::vector<EndFlux<double>> flux_;  // last ones known
  // Momentum law:
  // As many in every step: a number that depends on the state would make the cycles of an engine
  // differ by its jumps.
  static constexpr std::size_t rounds = 2;
  std::size_t round_ = 0;
  JunctionState start_{};
  std::vector<double> excess_;  // Pa, momentum flux of each port beyond the pressure in the merge
  std::vector<double> offset_;  // Pa, of the pressure at each port
  std::vector<double> wall_;    // Pa, that would stop the gas at each port
  double most_speed_ = 0;       // m/s, of the content
  double speed_ = 0;            // m/s, of the content, and its part along each pipe
  std::vector<double> along_;
  std::vector<char> fed_forward_;    // whether it feeds each pipe along its flow
  double guess_ = 0;                 // Pa, pressure from the linear waves
  double surplus_ = 0;               // Pa, by which the last step differed from it
  std::vector<double> admittances_;  // kg/(s Pa), of the pipes
  double admittance_ = 0;            // their sum
  double arriving_ = 0;              // kg/s that the pipes' waves would bring into a vacuum
  double end_weight_ = 1;            // weight of the end of the step
  double forward_ = 1;               // see forward_share()
};
static_assert(Boundary<Junction>);

}  // namespace pulsewright::models
