// Over 400 lines because the three laws share the content, the ports and the vent.
#include "models/boundary/junction.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "models/boundary/direction.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

namespace {

// By how much of itself the content may change within one substep. The scheme keeps at most 0.68 of
// a disturbance from one substep to the next then, and all of it at a change of 1. Halving the
// substeps moves the torque of engines on cells of 30 mm by some 0.01 N m. The flow of a
// vent to the atmosphere goes with the square root of a small pressure difference, which is
// steeper.
constexpr double most_change = 0.75;
constexpr double most_change_with_vent = 0.5;
// The same for the momentum law, which is stable at any step, but must follow what choked ports and
// jets do that the linear waves of the pipes do not.
constexpr double most_implicit_change = 4.0;

// cos(3 a / 4) for x = cos a.
double followed(double x) { return 0.3827 + x * (0.6768 - 0.0595 * x); }
constexpr double least_forward = -0.5;    // cosine to the flow above which a pipe is fed by it
constexpr double contraction_mach = 7.0;  // rise of the contraction loss with the square of M
// Speed of the content over that of the jets, where most of what they bring turns back into other
// tubes and the rest takes their momentum: beyond it the walls take the momentum. Pulses in three
// dimensions reach 1.5.
constexpr double most_gain = 1.6;
constexpr double least_pressure = 0.05;  // of the start, for a pressure within the iteration

// Solution of a symmetric system of three equations, Cramer's rule.
struct Symmetric {
  double xx = 0, yy = 0, zz = 0, xy = 0, xz = 0, yz = 0;

  Vector solve(const Vector& b) const {
    const double c00 = yy * zz - yz * yz;
    const double c01 = yz * xz - xy * zz;
    const double c02 = xy * yz - yy * xz;
    const double c11 = xx * zz - xz * xz;
    const double c12 = xy * xz - xx * yz;
    const double c22 = xx * yy - xy * xy;
    const double inverse = 1.0 / (xx * c00 + xy * c01 + xz * c02);
    return {(c00 * b[0] + c01 * b[1] + c02 * b[2]) * inverse,
            (c01 * b[0] + c11 * b[1] + c12 * b[2]) * inverse,
            (c02 * b[0] + c12 * b[1] + c22 * b[2]) * inverse};
  }
};

void add(JunctionContent& sum, const JunctionContent& rate, double dt) {
  sum.mass += dt * rate.mass;
  sum.energy += dt * rate.energy;
  sum.burnt += dt * rate.burnt;
  for (std::size_t i = 0; i < 3; ++i) sum.momentum[i] += dt * rate.momentum[i];
}

// Weight of the end of a step of x relaxation times.
double weight_of_end(double x) { return (1.0 + x) / (2.0 + x); }

JunctionState state_at(const solver::Gas& gas, double p, double h_total, double Y,
                       const Vector& w) {
  const double T = gas.temperature_from_enthalpy(h_total - 0.5 * dot(w, w), Y);
  const double gamma = gas.gamma(T, Y);
  return {p, T, Y, gamma * gas.gas_constant(Y) * T, gamma, w, {p, h_total, Y}};
}

std::vector<double> areas_of(std::span<const PipeEndState> ends) {
  std::vector<double> areas;
  for (const PipeEndState& end : ends) areas.push_back(end.area);
  return areas;
}

}  // namespace

JunctionState junction_state(const solver::Gas& gas, const JunctionContent& content,
                             double volume) {
  const double inverse = 1.0 / content.mass;
  Vector w;
  for (std::size_t i = 0; i < 3; ++i) w[i] = content.momentum[i] * inverse;
  const double kinetic = 0.5 * dot(w, w);
  const double Y = content.burnt * inverse;
  const double T = gas.temperature(content.energy * inverse - kinetic, Y);
  const double R = gas.gas_constant(Y);
  const double p = content.mass / volume * R * T;
  const double gamma = gas.gamma(T, Y);
  return {p, T, Y, gamma * R * T, gamma, w, {p, gas.enthalpy(T, Y) + kinetic, Y}};
}

Junction::Junction(const JunctionSpecification& spec, const BoundarySetup& setup)
    : Junction(spec, areas_of(setup.ends), setup.ambient) {
  const PipeEndState& first = setup.ends.front();
  fill(setup.gas, first.cell.p, first.T, first.cell.Y);
}

Junction::Junction(const JunctionSpecification& spec, std::vector<double> areas, Ambient ambient)
    : spec_(spec),
      constants_(constants_of(spec.coupling)),
      areas_(std::move(areas)),
      ambient_(ambient),
      volume_(spec.volume) {
  if (areas_.empty() || areas_.size() != spec_.branches.size()) {
    throw std::invalid_argument("junction '" + spec_.name + "': one area per branch is needed");
  }
  for (const Branch& branch : spec_.branches) {
    const bool full = branch.into_pipe == 1 && branch.out_of_pipe == 1;
    const bool possible = branch.into_pipe > 0 && branch.into_pipe <= 1 && branch.out_of_pipe > 0 &&
                          branch.out_of_pipe <= 1;
    if (full || (possible && spec_.law == JunctionLaw::plenum)) continue;
    throw std::invalid_argument("junction '" + spec_.name +
                                "': a throttled port needs the plenum law and an area ratio of 0 "
                                "to 1");
  }
  for (const auto& branch : spec_.branches) {
    const Eigen::Vector3d n = branch.direction.normalized();
    directions_.push_back({n.x(), n.y(), n.z()});
    pipe_ends_.push_back(branch.end);
  }
  const double largest = *std::max_element(areas_.begin(), areas_.end());
  if (!(volume_ > 0)) {
    volume_ = largest * std::sqrt(largest / std::numbers::pi);  // area times radius
    if (spec_.law == JunctionLaw::momentum) volume_ *= constants_.volume;
  }
  if (spec_.law == JunctionLaw::momentum) ring_ = TubeRing(directions_, areas_, constants_);
  mean_.resize(areas_.size());
  flux_.resize(areas_.size());
  excess_.resize(areas_.size());
  offset_.resize(areas_.size());
  wall_.resize(areas_.size());
  admittances_.resize(areas_.size());
  along_.resize(areas_.size());
  fed_forward_.resize(areas_.size());
  for (const Vector& a : directions_) {
    for (const Vector& b : directions_) beside_.push_back(std::max(0.0, dot(a, b)));
  }
}

void Junction::fill(const solver::Gas& gas, double p, double T, double Y) {
  const double mass = p * volume_ / (gas.gas_constant(Y) * T);
  volume_content_ = {mass, mass * gas.internal(T, Y), mass * Y, {0, 0, 0}};
}

void Junction::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  gas_ = step.gas;
  end_states_.clear();
  for (const PipeEndState& end : ends) end_states_.push_back(end.predicted);
  round_ = 0;
  substep_ = 0;
  double reach = spec_.vent_area > 0 ? std::sqrt(state(step.gas).c2) * spec_.vent_area : 0.0;
  admittance_ = arriving_ = 0;
  for (std::size_t k = 0; k < ends.size(); ++k) {
    const solver::Primitive<double>& w = end_states_[k];
    const solver::EndWave<double> wave(step.gas, w, 1.0);
    reach += areas_[k] * (std::abs(w.u) + wave.c);
    if (spec_.law != JunctionLaw::momentum) continue;
    wall_[k] = wave.wall_pressure();
    admittances_[k] = areas_[k] / wave.c;
    admittance_ += admittances_[k];
    arriving_ += areas_[k] * (w.p / wave.c - w.rho * w.u);
  }
  begin_substeps(step.dt, reach);
  if (spec_.law == JunctionLaw::momentum) begin_implicit_step();
}

bool Junction::request(OrificeBatch& orifices, std::size_t first) {
  if (substep_ == substeps_) return false;
  if (spec_.law == JunctionLaw::momentum) {
    mix();
    const double forward = forward_flow();
    const std::size_t number = first + round_ * areas_.size();
    for (std::size_t k = 0; k < end_states_.size(); ++k) {
      const double phi = 1.0 / std::sqrt(1.0 + constants_.turning_loss * back_turn(k));
      orifices.add(number + k, end_states_[k], 1.0, port(k, forward), phi, 1.0);
    }
    return true;
  }
  midpoint_ = junction_state(*gas_, after(0.5 * h_), volume_);
  if (!(midpoint_.T > 0)) throw solver::Fault(spec_.name, "temperature in K", midpoint_.T, -1);
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    if (spec_.law == JunctionLaw::constant_pressure) {
      orifices.add_at_static_pressure(first + k, end_states_[k], 1.0, midpoint_.rest);
    } else {
      const Branch& branch = spec_.branches[k];
      orifices.add(first + k, end_states_[k], 1.0, midpoint_.rest, branch.into_pipe,
                   branch.out_of_pipe);
    }
  }
  return true;
}

void Junction::apply(const OrificeBatch& orifices, std::size_t first) {
  const std::size_t number = first + round_ * areas_.size();
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    flux_[k] = with_solution(orifices.flux(number + k), spec_.name);
    // What a choked pipe brings beyond the pressure of the merge expands to all sides: it does not
    // drive the outflow, which would empty the merge, as nothing would answer to its pressure.
    excess_[k] = flux_[k].mass < 0 ? flux_[k].mass * flux_[k].v
                                   : flux_[k].momentum - midpoint_.p - offset_[k];
  }
  if (spec_.law != JunctionLaw::momentum) {
    finish_substep();
    return;
  }
  const double solved = midpoint_.p;
  correct_pressure();
  if (++round_ < rounds) return;
  surplus_ = midpoint_.p - guess_;
  midpoint_.p = solved;
  finish_implicit_step();
}

void Junction::add_ports(JunctionContent& rate) const {
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    rate.mass -= areas_[k] * flux_[k].mass;
    rate.energy -= areas_[k] * flux_[k].energy;
    rate.burnt -= areas_[k] * flux_[k].burnt;
  }
  if (has_source_) {
    rate.mass += source_.mass;
    rate.energy += source_.energy;
    rate.burnt += source_.burnt;
  }
}

void Junction::set_content(const JunctionContent& content) {
  if (!(content.mass > 0)) throw solver::Fault(spec_.name, "mass in kg", content.mass, -1);
  volume_content_ = content;
}

// ------------------------------------------------ constant pressure and plenum

void Junction::begin_substeps(double dt, double reach) {
  const double most = spec_.law == JunctionLaw::momentum ? most_implicit_change
                      : spec_.vent_area > 0              ? most_change_with_vent
                                                         : most_change;
  const double needed = std::ceil(dt * reach / (most * volume_));
  if (!(needed < 1000)) throw solver::Fault(spec_.name, "substeps of the volume", needed, -1);
  substeps_ = std::max(1, static_cast<int>(needed));
  h_ = dt / substeps_;
  for (auto& f : mean_) f = EndFlux<double>{};
}

void Junction::add_to_mean() {
  const double weight = 1.0 / substeps_;
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    const EndFlux<double>& f = flux_[k];
    EndFlux<double>& m = mean_[k];
    m.mass += weight * f.mass;
    m.momentum += weight * f.momentum;
    m.energy += weight * f.energy;
    m.burnt += weight * f.burnt;
    m.p += weight * f.p;
    m.v += weight * f.v;
    m.sonic_limited = std::max(m.sonic_limited, f.sonic_limited);
  }
}

void Junction::finish_substep() {
  add_to_mean();
  rate_ = rate_of_substep();
  set_content(after(h_));
  ++substep_;
}

JunctionContent Junction::rate_of_substep() {
  JunctionContent rate{};
  add_ports(rate);
  const JunctionContent vent = vent_flow();
  add(rate, vent, 1.0);
  vented_.mass += h_ * vent.mass;
  vented_.energy += h_ * vent.energy;
  vented_.burnt += h_ * vent.burnt;
  return rate;
}

JunctionContent Junction::after(double dt) const {
  JunctionContent k = volume_content_;
  add(k, rate_, dt);
  return k;
}

// ------------------------------------------------ momentum law

void Junction::begin_implicit_step() {
  const double dt = h_;
  round_ = 0;
  start_ = state(*gas_);
  if (!(start_.T > 0)) throw solver::Fault(spec_.name, "temperature in K", start_.T, -1);
  ring_.advance(dt, start_.p, std::sqrt(start_.c2), wall_, flux_, offset_);
  // From the linear waves of the pipes: p = p_start + weight dt c^2 / V (mass that comes in).
  const double stiffness = dt * start_.c2 / volume_;  // Pa s/kg
  end_weight_ = weight_of_end(stiffness * admittance_);
  double inflow = arriving_ - admittance_ * start_.p;  // kg/s at the pressure of the start
  for (std::size_t k = 0; k < areas_.size(); ++k) inflow -= admittances_[k] * offset_[k];
  if (has_source_) inflow += source_.mass;
  const double rise = end_weight_ * stiffness;
  guess_ = start_.p + rise * inflow / (1.0 + rise * admittance_);
  midpoint_ = start_;
  look_along();
  // What the step before was off by: choked ports and jets do not answer as the linear waves do.
  midpoint_.p = std::max(least_pressure * start_.p, guess_ + surplus_);
  if (spec_.vent_area > 0) {
    // gap + K sqrt(gap) = gap without the vent, whose flow is steep near rest.
    const double K = rise / (1.0 + rise * admittance_) * spec_.vent_area *
                     std::sqrt(2.0 * volume_content_.mass / volume_);
    const double gap = guess_ - ambient_.pressure;
    const double root = 0.5 * (std::sqrt(K * K + 4.0 * std::abs(gap)) - K);
    midpoint_.p = ambient_.pressure + std::copysign(root * root, gap);
  }
}

// Velocity, enthalpy and composition of the content at the weighted end of the step, from the
// fluxes of the round before; its pressure is known.
void Junction::mix() {
  double in = 0, out = 0, energy = 0, burnt = 0, jets = 0;
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    const double m = areas_[k] * flux_[k].mass;
    if (m > 0) {
      out += m;
    } else {
      in -= m;
      energy -= areas_[k] * flux_[k].energy;
      burnt -= areas_[k] * flux_[k].burnt;
      jets += m * flux_[k].v;
    }
  }
  const double leaving = has_source_ ? std::max(0.0, -source_.mass) : 0.0;
  if (has_source_) {
    out += leaving;
    if (source_.mass > 0) {
      in += source_.mass;
      energy += source_.energy;
      burnt += source_.burnt;
    }
  }
  const double mass = volume_content_.mass;
  const double h = h_ * weight_of_end(h_ * in / mass);
  const double share = 1.0 / (mass + h * in);
  const double h_total = (mass * start_.rest.h_total + h * energy) * share;
  const double Y = (mass * start_.Y + h * burnt) * share;

  // (mass at the end) w + h (what the outflow takes) = P + h (what the inflow brings). A pipe that
  // is fed against the flow takes only what is across it, and pushes, as far as other pipes take
  // the flow.
  forward_ = forward_share();
  const double rest = std::max(least_pressure * mass, mass + h * (in - out));
  const double kept = has_source_ ? rest + h * leaving : rest;
  Symmetric system{kept, kept, kept};
  Vector momentum = volume_content_.momentum;
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    const double m = h * areas_[k] * flux_[k].mass;
    const Vector& n = directions_[k];
    const bool out_along = m > 0 && fed_forward_[k];
    if (m > 0) {
      const double along = out_along ? 0.0 : m * forward_;
      system.xx += m - along * n[0] * n[0];
      system.yy += m - along * n[1] * n[1];
      system.zz += m - along * n[2] * n[2];
      system.xy -= along * n[0] * n[1];
      system.xz -= along * n[0] * n[2];
      system.yz -= along * n[1] * n[2];
    }
    if (!out_along) {
      const double force = (m > 0 ? forward_ : 1.0) * areas_[k] * excess_[k];
      for (std::size_t i = 0; i < 3; ++i) momentum[i] -= h * force * n[i];
    }
  }
  most_speed_ = (mass * length(start_.w) + h * most_gain * jets) * share;
  midpoint_ = state_at(*gas_, midpoint_.p, h_total, Y, limited(system.solve(momentum)));
  look_along();
  if (!(midpoint_.T > 0)) throw solver::Fault(spec_.name, "temperature in K", midpoint_.T, -1);
}

Vector Junction::limited(Vector w) const {
  const double speed = length(w);
  if (speed > most_speed_) {
    for (double& x : w) x *= most_speed_ / speed;
  }
  return w;
}

// The velocity of the content against the pipes, whenever it is set.
void Junction::look_along() {
  speed_ = length(midpoint_.w);
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    along_[k] = dot(midpoint_.w, directions_[k]);
    fed_forward_[k] = along_[k] >= least_forward * speed_;
  }
}

// kg/s that pipes take which are fed forward.
double Junction::forward_flow() const {
  double forward = 0;
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    if (flux_[k].mass > 0 && fed_forward_[k]) forward += areas_[k] * flux_[k].mass;
  }
  return forward;
}

// How far pipes that are fed forward take the flow: 1 from a quarter of the outflow on.
double Junction::forward_share() const {
  double out = 0, forward = 0;
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    const double m = areas_[k] * std::max(0.0, flux_[k].mass);
    out += m;
    if (fed_forward_[k]) forward += m;
  }
  return out > 0 ? std::min(1.0, 4.0 * forward / out) : 1.0;
}

// What port k is fed from and discharges against. forward: forward_flow().
Reservoir<double> Junction::port(std::size_t k, double forward) const {
  const JunctionState& s = midpoint_;
  Reservoir<double> from = s.rest;
  from.p += offset_[k];
  if (!fed_forward_[k]) return from;
  const EndFlux<double>& last = flux_[k];
  const double speed = speed_;
  const double cosine = speed > 0 ? along_[k] / speed : 0.0;
  const double u = speed * std::min(1.0, followed(cosine));
  const double v = std::max(0.0, last.v);
  const double c2 = s.c2 + 0.5 * (s.gamma - 1.0) * (speed * speed - v * v);  // at the end
  if (!(c2 > 0)) return from;
  const double rho = v > 0 ? last.mass / v : s.gamma * s.p / s.c2;
  double z = constants_.contraction_loss * (1.0 + contraction_mach * v * v / c2);
  if (v <= u) {
    const double others = forward > 0 ? 1.0 - areas_[k] * std::max(0.0, last.mass) / forward : 0.0;
    const double straight = std::max(0.0, cosine);
    z = 1.0 - constants_.dividing_relief * std::min(1.0, 2.0 * others) * straight * straight;
  }
  const double gap = u - v;
  const double end = from.p + rho * gap * (v + 0.5 * (1.0 - z) * gap);
  from.p = std::max(least_pressure * s.p, end);
  if (v > 0) {
    from.p *= std::pow(1.0 + 0.5 * (s.gamma - 1.0) * v * v / c2, s.gamma / (s.gamma - 1.0));
  }
  return from;
}

// Share of the incoming gas that would turn back into pipe k, weighted with -cos(turn).
double Junction::back_turn(std::size_t k) const {
  double in = 0, back = 0;
  for (std::size_t j = 0; j < areas_.size(); ++j) {
    const double m = -areas_[j] * flux_[j].mass;
    if (!(m > 0)) continue;
    in += m;
    back += m * beside_[j * areas_.size() + k];
  }
  return in > 0 ? back / in : 0.0;
}

// Towards the pressure that the fluxes of the round lead to.
void Junction::correct_pressure() {
  JunctionContent rate{};
  add_ports(rate);
  double admittance = admittance_;
  if (spec_.vent_area > 0) {
    const JunctionContent vent = vent_flow();
    add(rate, vent, 1.0);
    const double gap = std::abs(ambient_.pressure - midpoint_.p);
    if (gap > 0) admittance += 0.5 * std::abs(vent.mass) / gap;  // flow ~ sqrt(gap)
  }
  const double h = h_ * end_weight_;
  JunctionContent end = volume_content_;
  add(end, rate, h);
  end.mass = std::max(least_pressure * volume_content_.mass, end.mass);
  for (std::size_t i = 0; i < 3; ++i) end.momentum[i] = end.mass * midpoint_.w[i];
  const double reached = junction_state(*gas_, end, volume_).p;
  const double correction = (reached - midpoint_.p) / (1.0 + h * start_.c2 / volume_ * admittance);
  midpoint_.p = std::max(least_pressure * start_.p, midpoint_.p + correction);
}

void Junction::finish_implicit_step() {
  JunctionContent rate = rate_of_substep();
  for (std::size_t k = 0; k < areas_.size(); ++k) {
    const Vector& n = directions_[k];
    const double m = areas_[k] * std::max(0.0, flux_[k].mass);
    const double part = m == 0 ? 1.0 : fed_forward_[k] ? 0.0 : forward_;
    const double beyond = part * (areas_[k] * excess_[k] - m * along_[k]);
    for (std::size_t i = 0; i < 3; ++i) {
      rate.momentum[i] -= m * midpoint_.w[i] + beyond * n[i];
    }
  }
  if (has_source_ && source_.mass < 0) {
    for (std::size_t i = 0; i < 3; ++i) rate.momentum[i] += source_.mass * midpoint_.w[i];
  }
  add_to_mean();
  rate_ = rate;
  JunctionContent end = after(h_);
  Vector w;
  for (std::size_t i = 0; i < 3; ++i) w[i] = end.momentum[i] / end.mass;
  w = limited(w);
  for (std::size_t i = 0; i < 3; ++i) end.momentum[i] = end.mass * w[i];
  set_content(end);
  if (++substep_ < substeps_) begin_implicit_step();
}

// ------------------------------------------------ vent

JunctionContent Junction::vent_flow() const {
  if (!(spec_.vent_area > 0)) return {};
  const solver::Gas& gas = *gas_;
  const JunctionState& at = midpoint_;
  const bool inward = ambient_.pressure > at.p;
  const double Y = inward ? 0.0 : at.Y;
  const double outside = spec_.vent_temperature > 0 ? spec_.vent_temperature : ambient_.temperature;
  const double h = inward ? gas.enthalpy(outside, 0.0) : at.rest.h_total;
  const double p0 = inward ? ambient_.pressure : at.p;
  const double T0 = inward ? outside : at.T;
  const double back = inward ? at.p : ambient_.pressure;
  const double flux = nozzle_mass_flux(gas.gamma(T0, Y), p0, p0 / (gas.gas_constant(Y) * T0), back);
  const double mass = (inward ? 1.0 : -1.0) * spec_.vent_area * flux;
  return {mass, mass * h, mass * Y, {}};
}

}  // namespace pulsewright::models
