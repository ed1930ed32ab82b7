#include "models/boundary/junction.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

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

double dot(const std::array<double, 3>& a, const std::array<double, 3>& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

}  // namespace

JunctionState junction_state(const solver::Gas& gas, const JunctionContent& content,
                             double volume) {
  const double inverse = 1.0 / content.mass;
  std::array<double, 3> w;
  for (std::size_t i = 0; i < 3; ++i) w[i] = content.momentum[i] * inverse;
  const double kinetic = 0.5 * dot(w, w);
  const double Y = content.burnt * inverse;
  const double T = gas.temperature(content.energy * inverse - kinetic, Y);
  const double R = gas.gas_constant(Y);
  const double p = content.mass / volume * R * T;
  const double gamma = gas.gamma(T, Y);
  return {p, T, Y, gamma * R * T, gamma, w, {p, gas.enthalpy(T, Y) + kinetic, Y}};
}

namespace {

std::vector<double> areas_of(std::span<const PipeEndState> ends) {
  std::vector<double> areas;
  for (const PipeEndState& end : ends) areas.push_back(end.area);
  return areas;
}

}  // namespace

Junction::Junction(const JunctionSpecification& spec, const BoundarySetup& setup)
    : Junction(spec, areas_of(setup.ends), setup.ambient) {
  const PipeEndState& first = setup.ends.front();
  fill(setup.gas, first.cell.p, first.T, first.cell.Y);
}

Junction::Junction(const JunctionSpecification& spec, std::vector<double> areas, Ambient ambient)
    : spec_(spec), areas_(std::move(areas)), ambient_(ambient), volume_(spec.volume) {
  if (areas_.empty() || areas_.size() != spec_.branches.size()) {
    throw std::invalid_argument("junction '" + spec_.name + "': one area per branch is needed");
  }
  const double largest = *std::max_element(areas_.begin(), areas_.end());
  if (!(volume_ > 0))
    volume_ = largest * std::sqrt(largest / std::numbers::pi);  // area times radius
  for (const auto& branch : spec_.branches) {
    const Eigen::Vector3d n = branch.direction.normalized();
    directions_.push_back({n.x(), n.y(), n.z()});
    pipe_ends_.push_back(branch.end);
  }
  mean_.resize(areas_.size());
  flux_.resize(areas_.size());
  suction_.resize(areas_.size());
  iterates_.resize(areas_.size());
}

void Junction::fill(const solver::Gas& gas, double p, double T, double Y) {
  const double mass = p * volume_ / (gas.gas_constant(Y) * T);
  volume_content_ = {mass, mass * gas.internal(T, Y), mass * Y, {0, 0, 0}};
}

void Junction::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  gas_ = step.gas;
  end_states_.clear();
  double reach = spec_.vent_area > 0 ? std::sqrt(state(step.gas).c2) * spec_.vent_area : 0.0;
  for (std::size_t k = 0; k < ends.size(); ++k) {
    const solver::Primitive<double>& w = ends[k].predicted;
    end_states_.push_back(w);
    const double c = step.gas.sound_speed(temperature_of(step.gas, w), w.Y);
    reach += areas_[k] * (std::abs(w.u) + c);
  }
  const double most = spec_.vent_area > 0 ? most_change_with_vent : most_change;
  const double needed_substeps = std::ceil(step.dt * reach / (most * volume_));
  if (!(needed_substeps < 1000))
    throw solver::Fault(spec_.name, "substeps of the volume", needed_substeps, -1);
  substeps_ = std::max(1, static_cast<int>(needed_substeps));
  h_ = step.dt / substeps_;
  substep_ = 0;
  iteration_ = 0;
  for (auto& f : mean_) f = EndFlux<double>{};
}

bool Junction::request(OrificeBatch& orifices, std::size_t first) {
  if (substep_ == substeps_) return false;
  if (iteration_ == 0) {
    midpoint_ = junction_state(*gas_, after(0.5 * h_), volume_);
    if (!(midpoint_.T > 0)) throw solver::Fault(spec_.name, "temperature in K", midpoint_.T, -1);
    out_ = {};
    iterates_.assign(iterates_.size(), true);
    suction_.assign(suction_.size(), 0.0);
  }
  const std::size_t number = first + iteration_ * areas_.size();
  Reservoir<double> facing = midpoint_.rest;
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    if (!iterates_[k]) continue;
    if (spec_.law == JunctionLaw::constant_pressure) {
      orifices.add_at_static_pressure(number + k, end_states_[k], 1.0, facing);
      continue;
    }
    if (spec_.law == JunctionLaw::momentum) facing.p = branch_pressure(k) - suction_[k];
    orifices.add(number + k, end_states_[k], 1.0, facing, 1.0, 1.0);
  }
  return true;
}

void Junction::apply(const OrificeBatch& orifices, std::size_t first) {
  const std::size_t number = first + iteration_ * areas_.size();
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    if (iterates_[k]) flux_[k] = with_solution(orifices.flux(number + k), spec_.name);
  }
  bool any = false;
  if (spec_.law == JunctionLaw::momentum && iteration_ + 1 < most_iterations) {
    if (iteration_ == 0) out_ = outflow(flux_);
    // Only content that moves against the outflow, or suction, changes anything in a second
    // iteration; the third is for the velocity that goes with the suction.
    const bool opposed = iteration_ == 0 && dot(midpoint_.w, out_.d) < 0;
    for (std::size_t k = 0; k < end_states_.size(); ++k) {
      const bool sucked = suction_[k] > 0;
      if (iteration_ == 0 || sucked) suction_[k] = suction(flux_[k], k, out_);
      iterates_[k] = iteration_ == 0 ? opposed || suction_[k] > 0 : sucked;
      any = any || iterates_[k];
    }
  }
  if (any) {
    ++iteration_;
  } else {
    finish_substep();
  }
}

void Junction::finish_substep() {
  const double weight = 1.0 / substeps_;
  JunctionContent rate{};
  for (std::size_t k = 0; k < end_states_.size(); ++k) {
    add_branch(rate, k);
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
  if (spec_.vent_area > 0) add_vent(rate);
  rate_ = rate;
  volume_content_ = after(h_);
  if (!(volume_content_.mass > 0))
    throw solver::Fault(spec_.name, "mass in kg", volume_content_.mass, -1);
  iteration_ = 0;
  ++substep_;
}

double Junction::branch_pressure(std::size_t k) const {
  const JunctionState& s = midpoint_;
  const double along = dot(s.w, directions_[k]);
  double head = std::max(0.0, along) * std::max(0.0, along);
  if (iteration_ > 0) {
    // Content that moves against the outflow represents walls that obstruct the gas: the pipes
    // that are fed see a pressure below the static one by it, the feeding ones the static pressure.
    const double against = std::max(0.0, -dot(s.w, out_.d));
    const double side = dot(out_.d, directions_[k]);
    const double back = std::min(std::max(0.0, -along), against * std::max(0.0, side));
    const double front = std::min(std::max(0.0, along), against * std::max(0.0, -side));
    head = head - front * front - back * back;
  }
  if (head == 0) return s.p;
  const double ratio =
      std::pow(1.0 + 0.5 * (s.gamma - 1.0) * std::abs(head) / s.c2, s.gamma / (s.gamma - 1.0));
  return head > 0 ? s.p * ratio : s.p / ratio;
}

// Change of the content per second through branch k.
void Junction::add_branch(JunctionContent& rate, std::size_t k) const {
  const JunctionState& s = midpoint_;
  const EndFlux<double>& f = flux_[k];
  const double area = areas_[k];
  rate.mass -= area * f.mass;
  rate.energy -= area * f.energy;
  rate.burnt -= area * f.burnt;
  if (spec_.law != JunctionLaw::momentum) return;
  const std::array<double, 3>& n = directions_[k];
  const double along = dot(s.w, n);
  // Momentum flux beyond the static pressure of the volume.
  const double balance = f.momentum - s.p + suction_[k];
  const double out_mass = std::max(0.0, f.mass);
  const double turned = 1.0 + dot(out_.d, n);  // 1 - cos(alpha)
  const double wall =
      out_.turning * lateral_momentum * turned * turned * std::max(0.0, -f.mass) * out_.v;
  for (std::size_t i = 0; i < 3; ++i) {
    const double sideways = s.w[i] - along * n[i];
    rate.momentum[i] -= area * (balance * n[i] + out_mass * sideways - wall * out_.d[i]);
  }
}

JunctionContent Junction::after(double dt) const {
  JunctionContent k = volume_content_;
  k.mass += dt * rate_.mass;
  k.energy += dt * rate_.energy;
  k.burnt += dt * rate_.burnt;
  for (std::size_t i = 0; i < 3; ++i) k.momentum[i] += dt * rate_.momentum[i];
  return k;
}

Outflow Junction::outflow(const std::vector<EndFlux<double>>& flux) const {
  Outflow out;
  double mass = 0;
  for (std::size_t k = 0; k < flux.size(); ++k) {
    const double m = areas_[k] * std::max(0.0, flux[k].mass);
    mass += m;
    out.v += m * flux[k].v;
    for (std::size_t i = 0; i < 3; ++i) out.d[i] += m * directions_[k][i];
  }
  if (!(mass > 0)) return {};
  out.v /= mass;
  for (double& d : out.d) d /= mass;
  double fed = 0;
  double all = 0;
  for (std::size_t k = 0; k < flux.size(); ++k) {
    all += areas_[k];
    fed += areas_[k] * std::max(0.0, dot(out.d, directions_[k]));
  }
  // Without a common direction of the outflow there is no side.
  const double feeding = fed > 0 ? all / fed - 1.0 : 0.0;  // area that feeds over area that is fed
  out.crowding = std::clamp((feeding - 1.35) / 0.15, 0.0, 1.0);
  out.turning = std::clamp((feeding - 1.0) / 0.3, 0.0, 1.0);
  return out;
}

double Junction::suction(const EndFlux<double>& flux, std::size_t k, const Outflow& out) const {
  if (flux.mass >= 0 || out.crowding == 0) return 0;
  const double cosine = -dot(out.d, directions_[k]);
  const double square = out.d[0] * out.d[0] + out.d[1] * out.d[1] + out.d[2] * out.d[2];
  const double sine = std::sqrt(std::max(0.0, square - cosine * cosine));
  return out.crowding * lateral_suction * sine * 0.5 * flux.mass * flux.v;
}

void Junction::add_vent(JunctionContent& rate) {
  const solver::Gas& gas = *gas_;
  const JunctionState& s = midpoint_;
  const bool inward = ambient_.pressure > s.p;
  const double Y = inward ? 0.0 : s.Y;
  const double h = inward ? gas.enthalpy(ambient_.temperature, 0.0) : s.rest.h_total;
  const double p0 = inward ? ambient_.pressure : s.p;
  const double T0 = inward ? ambient_.temperature : s.T;
  const double back = inward ? s.p : ambient_.pressure;
  const double flux = nozzle_mass_flux(gas.gamma(T0, Y), p0, p0 / (gas.gas_constant(Y) * T0), back);
  const double mass = (inward ? 1.0 : -1.0) * spec_.vent_area * flux;
  rate.mass += mass;
  rate.energy += mass * h;
  rate.burnt += mass * Y;
  vented_.mass += h_ * mass;
  vented_.energy += h_ * mass * h;
  vented_.burnt += h_ * mass * Y;
}

}  // namespace pulsewright::models
