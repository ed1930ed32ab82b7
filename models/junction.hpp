// A place where pipes meet: a small control volume with one of three laws.
//
//   dm/dt = -sum A m_k     dE/dt = -sum A q_k     d(mY)/dt = -sum A b_k          (all laws)
//   dP/dt = -sum A [rho v^2 n + (p_k - p) n]_k - (sideways momentum carried off) (momentum law)
//
// m_k, q_k, b_k: fluxes into pipe k; v: velocity into it; n: unit vector from the junction into
// the pipe; p: static pressure of the volume, which also acts on its walls.
//
// Momentum law: gas that comes in keeps its direction; the volume moves with w = P/m. A pipe into
// which the gas flows is fed from the stagnation state that it sees, p (1 + (gamma-1)/2
// (w.n)+^2/c^2)^(gamma/(gamma-1)), and takes the momentum along its axis; a pipe from which gas
// comes discharges against the same pressure. In steady flow this is exactly the momentum balance
// with one static pressure at all inflowing ends (Idelchik (2006), chapter 7; Borda-Carnot for two
// pipes, Benedict et al., J. Eng. Power 88 (1966) 73), so a jet lowers the pressure that its
// neighbours see. The momentum that the walls of the merge take sideways leaves with the gas.
// Where an outlet asks for more than the momentum that the gas brings along (sum over the arms of
// (Q_k/Q_c)^2 (A_c/A_k) cos(alpha_k) < 1/2: a strong contraction), the content moves against the
// outflow and lowers what the outlet sees, which is the loss of a sharp entrance: (1 - m)^2 heads
// for the area ratio m, where handbooks have 0.5 (1 - m) (up to 0.3 less for m below a third).
// Handbooks find less loss for a jet from the side than that balance, see lateral_suction and
// lateral_push; with them Idelchik's losses of wyes of 15 to 90 degrees are met within a fifth.
// Constant-pressure law: one static pressure at every end (Benson (1982), chapter 6).
// Plenum law: the kinetic energy of the inflow is dissipated, the ends are fed from rest.
//
// Valid for a volume short against the waves (its transit time is that of about half a diameter).
// Where flow divides, branch and straight run are fed with one momentum: with most of the gas in
// the branch its loss is off by 0.35 heads at 45 degrees, by 0.26 at 90. What it does not know: the
// order of the tubes round the collector, as long as they come in at one angle; the mixing length
// of the jets.
#pragma once

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "models/opening.hpp"
#include "models/specification.hpp"

namespace pulsewright::models {

template <class Real>
struct JunctionContent {
  Real mass;                     // kg
  Real energy;                   // J, internal and kinetic
  Real burnt;                    // kg
  std::array<Real, 3> momentum;  // kg m/s
};

// Static state of the content.
template <class Real>
struct JunctionState {
  Real p;  // Pa
  Real T;  // K
  Real Y;
  Real c2;  // m2/s2
  Real gamma;
  std::array<Real, 3> w;  // m/s
  Supply<Real> supply;    // from rest at p with the total enthalpy
};

template <class Real>
JunctionState<Real> junction_state(const solver::Gas& gas, const JunctionContent<Real>& k,
                                   double volume) {
  const Real inverse = 1.0 / k.mass;
  std::array<Real, 3> w;
  for (std::size_t i = 0; i < 3; ++i) w[i] = k.momentum[i] * inverse;
  const Real kinetic = 0.5 * (w[0] * w[0] + w[1] * w[1] + w[2] * w[2]);
  const Real Y = k.burnt * inverse;
  const Real T = gas.temperature(Real(k.energy * inverse - kinetic), Y);
  const Real R = gas.gas_constant(Y);
  const Real p = k.mass / volume * R * T;
  const Real gamma = gas.gamma(T, Y);
  const Reservoir<Real> rest{p, gas.enthalpy(T, Y) + kinetic, Y};
  return {p, T, Y, gamma * R * T, gamma, w, Supply<Real>(gas, rest)};
}

// Where the gas of a merge goes, from the fluxes of a first look (momentum law).
template <class Real>
struct Outflow {
  std::array<Real, 3> d{};  // mean direction of the pipes that are fed; shorter than 1 if they part
  Real v{};                 // m/s, their mean velocity
  Real crowding{};          // 0 .. 1, see lateral_suction
  Real turning{};           // 0 .. 1, see lateral_push
};

// A jet that enters from the side leaves its mouth at less than the pressure of the volume, by the
// share lateral_suction sin(alpha) of its dynamic head, where the pipes that can feed the merge
// have together half again the area of those that are fed; not at all up to 1.35 times. The walls
// of the merge turn the jet and give it the share lateral_push (1 - cos(alpha))^2 of the momentum
// that it takes on; not where the pipes that feed have the area of those that are fed. alpha is the
// angle between jet and outflow. Idelchik (2006), chapter 7, multiplies the momentum balance by A =
// 0.55 within the same limits of area and has 1.55 q - q^2 for the straight run of a right-angled
// tee; the two constants are fitted to both.
inline constexpr double lateral_suction = 0.45;
inline constexpr double lateral_push = 0.225;

template <class Real>
Real dot(const std::array<Real, 3>& a, const std::array<double, 3>& n) {
  return a[0] * n[0] + a[1] * n[1] + a[2] * n[2];
}

// Flux into a pipe that leaves the junction in direction n. Without `out` it is the first look.
template <class Real>
EndFlux<Real> flow_at_branch(const solver::Gas& gas, JunctionLaw law, const JunctionState<Real>& s,
                             const std::array<double, 3>& n, const solver::EndWave<Real>& wave,
                             const Outflow<Real>* out = nullptr, Real suction = Real(0.0)) {
  if (law == JunctionLaw::constant_pressure) {
    return flow_at_static_pressure(gas, wave, s.supply);
  }
  if (law == JunctionLaw::momentum) {
    using solver::max;
    using solver::min;
    using solver::pow;
    using solver::select;
    const Real along = dot(s.w, n);
    Real head = max(Real(0.0), along) * max(Real(0.0), along);
    if (out) {
      // Content that moves against the outflow stands for walls that hold the gas back: the pipes
      // that are fed see less than the static pressure by it, the feeding ones the static pressure.
      const Real against =
          max(Real(0.0), Real(-(s.w[0] * out->d[0] + s.w[1] * out->d[1] + s.w[2] * out->d[2])));
      const Real side = dot(out->d, n);
      const Real back = min(max(Real(0.0), Real(-along)), Real(against * max(Real(0.0), side)));
      const Real front = min(max(Real(0.0), along), Real(against * max(Real(0.0), Real(-side))));
      head = head - front * front - back * back;
    }
    if (solver::any(head != 0.0) || solver::any(suction != 0.0)) {
      const Real ratio = pow(Real(1.0 + 0.5 * (s.gamma - 1.0) * solver::abs(head) / s.c2),
                             Real(s.gamma / (s.gamma - 1.0)));
      const Real p = select(head > 0.0, Real(s.p * ratio), Real(s.p / ratio)) - suction;
      return flow_through_opening(gas, wave, s.supply.at_pressure(p), Real(1.0), Real(1.0));
    }
  }
  return flow_through_opening(gas, wave, s.supply, Real(1.0), Real(1.0));
}

// Change of the content per second through one branch of area A (m2). suction: by how much less
// than the pressure of the volume the mouth of the branch was given, Pa.
template <class Real>
void add_branch(JunctionContent<Real>& rate, JunctionLaw law, const JunctionState<Real>& s,
                const std::array<double, 3>& n, double area, const EndFlux<Real>& f,
                const Outflow<Real>* out = nullptr, Real suction = Real(0.0)) {
  using solver::max;
  rate.mass = rate.mass - area * f.mass;
  rate.energy = rate.energy - area * f.energy;
  rate.burnt = rate.burnt - area * f.burnt;
  if (law != JunctionLaw::momentum) return;
  const Real along = dot(s.w, n);
  const Real push = f.momentum - s.p + suction;
  const Real out_mass = max(Real(0.0), f.mass);
  for (std::size_t i = 0; i < 3; ++i) {
    const Real sideways = s.w[i] - along * n[i];
    rate.momentum[i] = rate.momentum[i] - area * (push * n[i] + out_mass * sideways);
  }
  if (!out) return;
  const Real turned = 1.0 + dot(out->d, n);  // 1 - cos(alpha)
  const Real wall =
      out->turning * lateral_push * turned * turned * max(Real(0.0), Real(-f.mass)) * out->v;
  for (std::size_t i = 0; i < 3; ++i) {
    rate.momentum[i] = rate.momentum[i] + area * wall * out->d[i];
  }
}

class Junction {
 public:
  // areas: of the branch pipes at the junction, m2, in the order of spec.branches.
  Junction(const JunctionSpecification& spec, std::vector<double> areas, Ambient ambient);

  void fill(const solver::Gas& gas, double p, double T, double Y);

  // Takes the step dt (s) with the pipe end states frozen; returns the mean flux into each pipe. In
  // each substep the pipes meet the content of its middle, continued from the substep before: with
  // the pipe ends in the middle of the step that is of second order (Adams and Bashforth).
  // waves: one per branch. Throws Fault.
  const std::vector<EndFlux<double>>& step(const solver::Gas& gas,
                                           const std::vector<solver::EndWave<double>>& waves,
                                           double dt);

  void set_content(const JunctionContent<double>& content) {
    content_ = content;
    rate_ = {};
  }
  const JunctionSpecification& specification() const { return spec_; }
  const JunctionContent<double>& content() const { return content_; }
  JunctionState<double> state(const solver::Gas& gas) const {
    return junction_state(gas, content_, volume_);
  }
  double volume() const { return volume_; }
  // Content taken in through the opening to the atmosphere since the start: kg, kg, J.
  double opening_mass() const { return opening_mass_; }
  double opening_burnt() const { return opening_burnt_; }
  double opening_energy() const { return opening_energy_; }

 private:
  // The content dt (s) later if it goes on as in the last substep.
  JunctionContent<double> after(double dt) const;
  Outflow<double> outflow(const std::vector<EndFlux<double>>& flux) const;
  double suction(const EndFlux<double>& flux, std::size_t k, const Outflow<double>& out) const;
  void add_opening(const solver::Gas& gas, const JunctionState<double>& s,
                   JunctionContent<double>& rate, double dt);

  JunctionSpecification spec_;
  std::vector<double> areas_;
  std::vector<std::array<double, 3>> directions_;
  Ambient ambient_;
  double volume_;
  JunctionContent<double> content_{};
  JunctionContent<double> rate_{};  // its change per second in the last substep
  std::vector<EndFlux<double>> mean_;
  std::vector<EndFlux<double>> flux_;  // of one substep
  double opening_mass_ = 0, opening_burnt_ = 0, opening_energy_ = 0;
};

}  // namespace pulsewright::models
