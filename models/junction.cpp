#include "models/junction.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "solver/fault.hpp"

namespace pulsewright::models {

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
  }
  mean_.resize(areas_.size());
  flux_.resize(areas_.size());
}

void Junction::fill(const solver::Gas& gas, double p, double T, double Y) {
  const double mass = p * volume_ / (gas.gas_constant(Y) * T);
  content_ = {mass, mass * gas.internal(T, Y), mass * Y, {0, 0, 0}};
}

const std::vector<EndFlux<double>>& Junction::step(
    const solver::Gas& gas, const std::vector<solver::EndWave<double>>& waves, double dt) {
  // The content may change by about a half within one substep.
  double reach = spec_.opening_area > 0 ? std::sqrt(state(gas).c2) * spec_.opening_area : 0.0;
  for (std::size_t k = 0; k < waves.size(); ++k) {
    reach += areas_[k] * (std::abs(waves[k].v) + waves[k].c);
  }
  const double wanted = std::ceil(2.0 * dt * reach / volume_);
  if (!(wanted < 1000)) throw solver::Fault(spec_.name, "substeps of the volume", wanted, -1);
  const int substeps = std::max(1, static_cast<int>(wanted));
  const double h = dt / substeps;
  const double share = 1.0 / substeps;
  for (auto& f : mean_) f = EndFlux<double>{};
  for (int i = 0; i < substeps; ++i) {
    const JunctionState<double> s = junction_state(gas, after(0.5 * h), volume_);
    if (!(s.T > 0)) throw solver::Fault(spec_.name, "temperature in K", s.T, -1);
    JunctionContent<double> rate{};
    for (std::size_t k = 0; k < waves.size(); ++k) {
      flux_[k] = flow_at_branch(gas, spec_.law, s, directions_[k], waves[k]);
    }
    const bool directed = spec_.law == JunctionLaw::momentum;
    const Outflow<double> out = directed ? outflow(flux_) : Outflow<double>{};
    // Only content that moves against the outflow, or suction, makes a second look see more.
    const bool held_back = dot(s.w, out.d) < 0;
    for (std::size_t k = 0; k < waves.size(); ++k) {
      double lower = directed ? suction(flux_[k], k, out) : 0.0;
      if (held_back || lower > 0) {
        flux_[k] = flow_at_branch(gas, spec_.law, s, directions_[k], waves[k], &out, lower);
      }
      if (lower > 0) {  // once more with the velocity that goes with it
        lower = suction(flux_[k], k, out);
        flux_[k] = flow_at_branch(gas, spec_.law, s, directions_[k], waves[k], &out, lower);
      }
      const EndFlux<double>& f = flux_[k];
      add_branch(rate, spec_.law, s, directions_[k], areas_[k], f, directed ? &out : nullptr,
                 lower);
      EndFlux<double>& m = mean_[k];
      m.mass += share * f.mass;
      m.momentum += share * f.momentum;
      m.energy += share * f.energy;
      m.burnt += share * f.burnt;
      m.p += share * f.p;
      m.v += share * f.v;
      m.held = std::max(m.held, f.held);
    }
    if (spec_.opening_area > 0) add_opening(gas, s, rate, h);
    rate_ = rate;
    content_ = after(h);
    if (!(content_.mass > 0)) throw solver::Fault(spec_.name, "mass in kg", content_.mass, -1);
  }
  return mean_;
}

JunctionContent<double> Junction::after(double dt) const {
  JunctionContent<double> k = content_;
  k.mass += dt * rate_.mass;
  k.energy += dt * rate_.energy;
  k.burnt += dt * rate_.burnt;
  for (std::size_t i = 0; i < 3; ++i) k.momentum[i] += dt * rate_.momentum[i];
  return k;
}

Outflow<double> Junction::outflow(const std::vector<EndFlux<double>>& flux) const {
  Outflow<double> out;
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

double Junction::suction(const EndFlux<double>& flux, std::size_t k,
                         const Outflow<double>& out) const {
  if (flux.mass >= 0 || out.crowding == 0) return 0;
  const double cosine = -dot(out.d, directions_[k]);
  const double square = out.d[0] * out.d[0] + out.d[1] * out.d[1] + out.d[2] * out.d[2];
  const double sine = std::sqrt(std::max(0.0, square - cosine * cosine));
  return out.crowding * lateral_suction * sine * 0.5 * flux.mass * flux.v;
}

void Junction::add_opening(const solver::Gas& gas, const JunctionState<double>& s,
                           JunctionContent<double>& rate, double dt) {
  const bool inward = ambient_.pressure > s.p;
  const double Y = inward ? 0.0 : s.Y;
  const double h = inward ? gas.enthalpy(ambient_.temperature, 0.0) : s.supply.from.h_total;
  const double p0 = inward ? ambient_.pressure : s.p;
  const double T0 = inward ? ambient_.temperature : s.T;
  const double back = inward ? s.p : ambient_.pressure;
  const double flux = nozzle_mass_flux(gas.gamma(T0, Y), p0, p0 / (gas.gas_constant(Y) * T0), back);
  const double mass = (inward ? 1.0 : -1.0) * spec_.opening_area * flux;
  rate.mass += mass;
  rate.energy += mass * h;
  rate.burnt += mass * Y;
  opening_mass_ += dt * mass;
  opening_energy_ += dt * mass * h;
  opening_burnt_ += dt * mass * Y;
}

}  // namespace pulsewright::models
