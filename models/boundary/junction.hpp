// A junction of pipes: a small control volume with one of three laws.
//
//   dm/dt = -sum A m_k     dE/dt = -sum A q_k     d(mY)/dt = -sum A b_k          (all laws)
//   dP/dt = -sum A [rho v^2 n + (p_k - p) n]_k - (sideways momentum carried off) (momentum law)
//
// m_k, q_k, b_k: fluxes into pipe k; v: velocity into it; n: unit vector from the junction into
// the pipe; p: static pressure of the volume, which also acts on its walls.
//
// Momentum law: gas that comes in keeps its direction; the volume moves with w = P/m. A pipe into
// which the gas flows is fed from the stagnation state relative to it, p (1 + (gamma-1)/2
// (w.n)+^2/c^2)^(gamma/(gamma-1)), and takes the momentum along its axis; a pipe from which gas
// comes discharges against the same pressure. In steady flow this is exactly the momentum balance
// with one static pressure at all inflowing ends (Idelchik (2006), chapter 7; Borda-Carnot for two
// pipes, Benedict et al., J. Eng. Power 88 (1966) 73), so a jet lowers the pressure at the
// neighbouring ports. The momentum that the walls of the merge take sideways leaves with the gas.
// Where the momentum balance of an outlet exceeds the momentum of the incoming gas (sum over the
// arms of (Q_k/Q_c)^2 (A_c/A_k) cos(alpha_k) < 1/2: a strong contraction), the content moves
// against the outflow and lowers what the outlet sees, which is the loss of a sharp entrance: (1 -
// m)^2 heads for the area ratio m, where handbooks have 0.5 (1 - m) (up to 0.3 less for m below a
// third). Handbooks find less loss for a jet from the side than that balance, see lateral_suction
// and lateral_momentum; with them Idelchik's losses of wyes of 15 to 90 degrees are reproduced
// within 20 %. Constant-pressure law: one static pressure at every end (Benson (1982), chapter 6).
// Plenum law: the kinetic energy of the inflow is dissipated, the ends are fed from rest.
//
// Valid for a volume short against the waves (its transit time is that of about half a diameter).
// Where flow divides, branch and straight run are fed with one momentum: with most of the gas in
// the branch its loss is off by 0.35 heads at 45 degrees, by 0.26 at 90. Not modelled: the
// order of the tubes round the collector, as long as they come in at one angle; the mixing length
// of the jets.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "models/boundary/boundary.hpp"
#include "models/boundary/specification.hpp"

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

// Where the gas of a merge goes, from the fluxes of the first iteration (momentum law).
struct Outflow {
  std::array<double, 3>
      d{};              // mean direction of the pipes that are fed; shorter than 1 if they diverge
  double v = 0;         // m/s, their mean velocity
  double crowding = 0;  // 0 .. 1, see lateral_suction
  double turning = 0;   // 0 .. 1, see lateral_momentum
};

// A jet that enters from the side leaves its branch port at less than the pressure of the volume,
// by the fraction lateral_suction sin(alpha) of its dynamic head, where the pipes that can feed the
// merge have together half again the area of those that are fed; not at all up to 1.35 times. The
// walls of the merge turn the jet and give it the fraction lateral_momentum (1 - cos(alpha))^2 of
// the momentum that it takes on; not where the pipes that feed have the area of those that are fed.
// alpha is the angle between jet and outflow. Idelchik (2006), chapter 7, multiplies the momentum
// balance by A = 0.55 within the same limits of area and has 1.55 q - q^2 for the straight run of a
// right-angled tee; the two constants are fitted to both.
inline constexpr double lateral_suction = 0.45;
inline constexpr double lateral_momentum = 0.225;

class Junction {
 public:
  static constexpr bool reads_cell = false;
  static constexpr bool is_outlet = false;  // but see vented()

  // Starts with the gas at the first of its ends, at rest. Throws std::invalid_argument.
  Junction(const JunctionSpecification& spec, const BoundarySetup& setup);
  // By itself. areas: of the branch pipes at the junction, m2, in the order of spec.branches.
  Junction(const JunctionSpecification& spec, std::vector<double> areas, Ambient ambient);

  void fill(const solver::Gas& gas, double p, double T, double Y);

  // Takes the step with the pipe end states frozen, in substeps of the volume; flux() is the mean
  // into each pipe. In each substep the pipes see the content at its middle, extrapolated from the
  // substep before: with the pipe ends in the middle of the step that is of second order (Adams and
  // Bashforth). The branch ports are solved once per substep, all of them, and with the momentum
  // law some of them a second and a third time, when the outflow is known. See boundary.hpp.
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);
  bool request(OrificeBatch& orifices, std::size_t first);
  void apply(const OrificeBatch& orifices, std::size_t first);
  const EndFlux<double>& flux(std::size_t k) const { return mean_[k]; }
  std::span<const PipeEnd> ends() const { return pipe_ends_; }
  std::size_t orifices() const { return most_iterations * areas_.size(); }
  Content content() const {
    return {volume_content_.mass, volume_content_.burnt, volume_content_.energy};
  }
  void start_from(const Junction& other) { set_volume_content(other.volume_content_); }

  void set_volume_content(const JunctionContent& content) {
    volume_content_ = content;
    rate_ = {};
  }
  const JunctionContent& volume_content() const { return volume_content_; }
  JunctionState state(const solver::Gas& gas) const {
    return junction_state(gas, volume_content_, volume_);
  }
  double volume() const { return volume_; }
  // What came in through the vent to the atmosphere since the start.
  const Content& vented() const { return vented_; }

 private:
  // The content dt (s) later if it goes on as in the last substep.
  JunctionContent after(double dt) const;
  // Stagnation pressure that branch k is fed from and discharges against, momentum law, Pa.
  double branch_pressure(std::size_t k) const;
  void add_branch(JunctionContent& rate, std::size_t k) const;
  Outflow outflow(const std::vector<EndFlux<double>>& flux) const;
  double suction(const EndFlux<double>& flux, std::size_t k, const Outflow& out) const;
  void add_vent(JunctionContent& rate);
  void finish_substep();

  JunctionSpecification spec_;
  std::vector<PipeEnd> pipe_ends_;
  std::vector<double> areas_;
  std::vector<std::array<double, 3>> directions_;
  Ambient ambient_;
  double volume_;
  JunctionContent volume_content_{};
  JunctionContent rate_{};  // its change per second in the last substep
  Content vented_;
  // Of the running step:
  std::optional<solver::Gas> gas_;
  std::vector<solver::Primitive<double>> end_states_;
  std::vector<EndFlux<double>> mean_;
  int substeps_ = 1, substep_ = 0;
  double h_ = 0;  // s, of a substep
  // Of the running substep:
  static constexpr std::size_t most_iterations = 3;
  std::size_t iteration_ = 0;
  JunctionState midpoint_{};
  Outflow out_{};
  std::vector<EndFlux<double>> flux_;
  std::vector<double> suction_;  // Pa, reduction of the stagnation pressure of each port
  std::vector<char> iterates_;   // ports to be solved in this iteration
};
static_assert(Boundary<Junction>);

}  // namespace pulsewright::models
