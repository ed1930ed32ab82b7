#include "models/network/network.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <variant>

namespace pulsewright::models {

namespace {

constexpr long wall_renewal_steps = 16;

using UpdateScheme =
    std::variant<solver::PipeUpdate<solver::FluxHllc, solver::LimiterMonotonizedCentral>,
                 solver::PipeUpdate<solver::FluxHllc, solver::LimiterVanLeer>,
                 solver::PipeUpdate<solver::FluxHllc, solver::LimiterMinmod>>;

UpdateScheme scheme_of(LimiterChoice limiter) {
  switch (limiter) {
    case LimiterChoice::van_leer:
      return solver::PipeUpdate<solver::FluxHllc, solver::LimiterVanLeer>{};
    case LimiterChoice::minmod:
      return solver::PipeUpdate<solver::FluxHllc, solver::LimiterMinmod>{};
    case LimiterChoice::monotonized_central:
      break;
  }
  return solver::PipeUpdate<solver::FluxHllc, solver::LimiterMonotonizedCentral>{};
}

double diameter_at(const std::vector<ProfilePoint>& profile, double x) {
  if (x <= profile.front().x) return profile.front().diameter;
  for (std::size_t i = 1; i < profile.size(); ++i) {
    if (x <= profile[i].x) {
      const double t = (x - profile[i - 1].x) / (profile[i].x - profile[i - 1].x);
      return profile[i - 1].diameter + t * (profile[i].diameter - profile[i - 1].diameter);
    }
  }
  return profile.back().diameter;
}

solver::Pipe make_pipe(const PipeSpecification& spec, const Ambient& ambient,
                       const solver::Gas& gas) {
  if (spec.profile.empty()) {
    throw std::invalid_argument("pipe '" + spec.name + "': has no diameter");
  }
  std::vector<double> breakpoints;
  for (const auto& point : spec.profile) breakpoints.push_back(point.x);
  solver::Pipe pipe(
      spec.name, spec.length, spec.cells(), [&](double x) { return diameter_at(spec.profile, x); },
      breakpoints);
  const double T = spec.initial_temperature > 0 ? spec.initial_temperature : ambient.temperature;
  const double p = spec.initial_pressure > 0 ? spec.initial_pressure : ambient.pressure;
  const double Y = spec.initial_burnt;
  pipe.fill(gas, [&](double) {
    return solver::Primitive<double>{p / (gas.gas_constant(Y) * T), 0.0, p, Y};
  });
  return pipe;
}

double inward(Side side) { return side == Side::left ? 1.0 : -1.0; }

}  // namespace

Network::Network(const EngineSpecification& engine, const solver::Gas& gas, LimiterChoice limiter,
                 Method method)
    : gas_(gas),
      ambient_(engine.ambient),
      outside_{engine.ambient.pressure, gas.enthalpy(engine.ambient.temperature, 0.0), 0.0},
      outside_density_(engine.ambient.pressure /
                       (gas.gas_constant(0.0) * engine.ambient.temperature)),
      limiter_(limiter),
      open_ends_(engine.open_ends),
      closed_ends_(engine.closed_ends),
      anechoic_ends_(engine.anechoic_ends) {
  check_ends(engine);
  for (const PipeSpecification& pipe : engine.pipes) {
    pipes_.push_back(make_pipe(pipe, ambient_, gas_));
    walls_.emplace_back(pipe, pipes_.back());
    fastest_.push_back(pipes_.back().refresh(gas_));
    if (method == Method::characteristics) lines_.emplace_back(pipes_.back(), gas_);
  }
  for (const auto& spec : engine.junctions) {
    std::vector<double> areas;
    std::vector<PipeEnd> ends;
    for (const auto& branch : spec.branches) {
      areas.push_back(end_area(branch.end));
      ends.push_back(branch.end);
    }
    junctions_.emplace_back(spec, areas, ambient_);
    // Starts with the gas of the first pipe.
    const solver::Pipe& first = pipes_[static_cast<std::size_t>(ends.front().pipe)];
    junctions_.back().fill(gas_, first.p[0], first.T[0], first.Y[0]);
    junction_ends_.push_back(ends);
  }
  for (const auto& open : open_ends_) {
    radiations_.emplace_back(std::sqrt(end_area(open.end) / std::numbers::pi), ambient_.pressure);
  }
  outlets_.resize(open_ends_.size() + anechoic_ends_.size());
  outlet_flow_.resize(outlets_.size());
  asked_.resize(junctions_.size());
}

void Network::check_ends(const EngineSpecification& engine) const {
  std::vector<int> used(2 * engine.pipes.size(), 0);
  const auto use = [&](const PipeEnd& end) {
    if (end.pipe < 0 || static_cast<std::size_t>(end.pipe) >= engine.pipes.size()) {
      throw std::invalid_argument("network: an end names a pipe that does not exist");
    }
    ++used[2 * static_cast<std::size_t>(end.pipe) + (end.side == Side::right ? 1 : 0)];
  };
  for (const auto& junction : engine.junctions) {
    for (const auto& branch : junction.branches) use(branch.end);
  }
  for (const auto& open : engine.open_ends) use(open.end);
  for (const auto& closed : engine.closed_ends) use(closed.end);
  for (const auto& anechoic : engine.anechoic_ends) use(anechoic.end);
  for (const auto& cylinder : engine.cylinders) {
    use(cylinder.exhaust);
    use(cylinder.intake);
  }
  for (std::size_t i = 0; i < used.size(); ++i) {
    if (used[i] != 1) {
      throw std::invalid_argument("network: the " + std::string(i % 2 ? "right" : "left") +
                                  " end of pipe '" + engine.pipes[i / 2].name + "' is used " +
                                  std::to_string(used[i]) + " times, not once");
    }
  }
}

void Network::start_from(const Network& other) {
  if (other.pipes_.size() != pipes_.size() || other.junctions_.size() != junctions_.size()) {
    throw std::invalid_argument("start_from: not the same network");
  }
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    const solver::Pipe& from = other.pipes_[i];
    solver::Pipe& to = pipes_[i];
    const double stretch = from.length() / to.length();
    const auto last = static_cast<double>(from.cells() - 1);
    const auto sample = [&](const solver::CellArray& w, double x) {
      const double place = std::clamp(x * stretch / from.dx() - 0.5, 0.0, last);
      const auto k = static_cast<std::ptrdiff_t>(std::min(place, last - 1.0));
      const double t = place - static_cast<double>(k);
      return (1.0 - t) * w[k] + t * w[k + 1];
    };
    to.fill(gas_, [&](double x) {
      return solver::Primitive<double>{sample(from.rho, x), sample(from.u, x), sample(from.p, x),
                                       sample(from.Y, x)};
    });
    for (std::size_t c = 0; c < to.cells(); ++c) {
      to.T_wall[static_cast<std::ptrdiff_t>(c)] = sample(from.T_wall, to.centre(c));
    }
    fastest_[i] = to.refresh(gas_);
    if (!lines_.empty()) lines_[i] = solver::CharacteristicPipe(to, gas_);
  }
  radiations_ = other.radiations_;
  for (std::size_t j = 0; j < junctions_.size(); ++j) {
    junctions_[j].set_content(other.junctions_[j].content());
  }
}

double Network::stable_step(double courant) const {
  double dt = 1e9;
  for (std::size_t i = 0; i < pipes_.size(); ++i) dt = std::min(dt, pipes_[i].dx() / fastest_[i]);
  return courant * dt;
}

void Network::renew_walls() {
  if (steps_since_renewal_ % wall_renewal_steps == 0) {
    for (std::size_t i = 0; i < pipes_.size(); ++i) walls_[i].renew(gas_, pipes_[i]);
  }
  ++steps_since_renewal_;
}

void Network::predict(double dt) {
  renew_walls();
  if (!lines_.empty()) {
    for (std::size_t i = 0; i < lines_.size(); ++i) lines_[i].predict_ends(gas_, pipes_[i], dt);
    return;
  }
  std::visit(
      [&]<class Scheme>(const Scheme&) {
        for (auto& pipe : pipes_) Scheme::predict(pipe, gas_, dt);
      },
      scheme_of(limiter_));
}

solver::EndWave<double> Network::end_cell(const PipeEnd& end) const {
  if (!lines_.empty()) return wave(end);  // lines of characteristics keep their entropy
  const solver::Pipe& pipe = pipes_[static_cast<std::size_t>(end.pipe)];
  const auto k = end.side == Side::left ? 0 : static_cast<std::ptrdiff_t>(pipe.cells()) - 1;
  return {gas_, solver::Primitive<double>{pipe.rho[k], pipe.u[k], pipe.p[k], pipe.Y[k]},
          inward(end.side)};
}

solver::Primitive<double> Network::end_state(const PipeEnd& end) const {
  const auto i = static_cast<std::size_t>(end.pipe);
  const auto of = [&](const auto& pipe) {
    return end.side == Side::left ? pipe.left_end() : pipe.right_end();
  };
  return lines_.empty() ? of(pipes_[i]) : of(lines_[i]);
}

solver::EndWave<double> Network::wave(const PipeEnd& end) const {
  return {gas_, end_state(end), inward(end.side)};
}

double Network::end_area(const PipeEnd& end) const {
  const solver::Pipe& pipe = pipes_.at(static_cast<std::size_t>(end.pipe));
  return end.side == Side::left ? pipe.area_left() : pipe.area_right();
}

void Network::set_flux(const PipeEnd& end, const EndFlux<double>& flux) {
  const auto i = static_cast<std::size_t>(end.pipe);
  if (!lines_.empty()) {
    const auto state = state_at_end(gas_, flux, inward(end.side));
    end.side == Side::left ? lines_[i].set_left(state) : lines_[i].set_right(state);
    return;
  }
  solver::Pipe& pipe = pipes_[i];
  const solver::Flux<double> f = as_pipe_flux(flux, inward(end.side));
  end.side == Side::left ? pipe.set_flux_left(f) : pipe.set_flux_right(f);
}

void Network::add_orifice(OrificeBatch& batch, std::size_t number, const PipeEnd& end,
                          const Reservoir<double>& reservoir, double phi_in, double phi_out) const {
  batch.add(number, end_state(end), inward(end.side), reservoir, phi_in, phi_out);
}

void Network::count_outlet(std::size_t i, const PipeEnd& end, const EndFlux<double>& flux) {
  const double area = end_area(end);
  outlet_flow_[i] = -area * flux.mass;
  outlets_[i].mass -= dt_ * area * flux.mass;
  outlets_[i].burnt -= dt_ * area * flux.burnt;
  outlets_[i].energy -= dt_ * area * flux.energy;
}

void Network::add_open_ends(OrificeBatch& orifices, std::size_t first) {
  for (std::size_t i = 0; i < open_ends_.size(); ++i) {
    const OpenEndSpecification& open = open_ends_[i];
    const double ratio = open.effective_area_ratio;
    // Mixing behind a contracted inflow loses (1/phi^2 - 1) rho v^2 / 2.
    const double phi_in = ratio / std::sqrt(1.0 + ratio * ratio * open.entry_loss);
    const solver::Primitive<double> end = end_state(open.end);
    Reservoir<double> outside = outside_;
    if (open.end_correction) {
      const double gamma = gas_.gamma(temperature_of(gas_, end), end.Y);
      const Radiation::Load load = radiations_[i].load(end.rho, gamma, dt_);
      outside.p = load.p;
      outside.impedance = load.impedance;
    }
    add_orifice(orifices, first + i, open.end, outside, phi_in, ratio);
  }
}

void Network::take_open_ends(const OrificeBatch& orifices, std::size_t first) {
  for (std::size_t i = 0; i < open_ends_.size(); ++i) {
    const EndFlux<double>& flux = orifices.flux(first + i);
    if (open_ends_[i].end_correction) {
      radiations_[i].take(flux.v, flux.v < 0 ? flux.mass / flux.v : outside_density_);
    }
    set_flux(open_ends_[i].end, flux);
    count_outlet(i, open_ends_[i].end, flux);
  }
}

std::size_t Network::orifices() const {
  std::size_t sum = open_ends_.size();
  for (const auto& junction : junctions_) sum += junction.orifices();
  return sum;
}

void Network::begin_ends(double dt) {
  dt_ = dt;
  round_ = 0;
  for (std::size_t j = 0; j < junctions_.size(); ++j) {
    ends_.clear();
    for (const auto& end : junction_ends_[j]) {
      ends_.push_back(end_state(end));
      ends_.back().u *= inward(end.side);
    }
    junctions_[j].begin(gas_, ends_, dt);
  }
  // These need no opening to be solved.
  for (const auto& closed : closed_ends_) set_flux(closed.end, flow_at_wall(wave(closed.end)));
  for (std::size_t i = 0; i < anechoic_ends_.size(); ++i) {
    const auto& end = anechoic_ends_[i].end;
    const EndFlux<double> flux =
        flow_without_reflection(gas_, wave(end), ambient_.pressure, end_cell(end));
    set_flux(end, flux);
    count_outlet(open_ends_.size() + i, end, flux);
  }
}

bool Network::ask(OrificeBatch& orifices, std::size_t first) {
  bool any = round_ == 0 && !open_ends_.empty();
  if (any) add_open_ends(orifices, first);
  first += open_ends_.size();
  for (std::size_t j = 0; j < junctions_.size(); ++j) {
    asked_[j] = junctions_[j].ask(gas_, orifices, first);
    any = any || asked_[j];
    first += junctions_[j].orifices();
  }
  if (!any) set_junction_fluxes();
  return any;
}

void Network::take(const OrificeBatch& orifices, std::size_t first) {
  if (round_ == 0) take_open_ends(orifices, first);
  ++round_;
  first += open_ends_.size();
  for (std::size_t j = 0; j < junctions_.size(); ++j) {
    if (asked_[j]) junctions_[j].take(gas_, orifices, first);
    first += junctions_[j].orifices();
  }
}

void Network::set_junction_fluxes() {
  for (std::size_t j = 0; j < junctions_.size(); ++j) {
    const auto& flux = junctions_[j].flux();
    for (std::size_t k = 0; k < flux.size(); ++k) set_flux(junction_ends_[j][k], flux[k]);
  }
}

void Network::close_ends(double dt, OrificeBatch& orifices) {
  begin_ends(dt);
  while (true) {
    orifices.clear();
    if (!ask(orifices, 0)) return;
    orifices.solve(gas_);
    take(orifices, 0);
  }
}

std::vector<solver::PipeEnsemble> Network::lanes() const {
  std::vector<solver::PipeEnsemble> lanes;
  if (!lines_.empty()) return lanes;
  std::visit(
      [&]<class Scheme>(const Scheme&) {
        for (const auto& pipe : pipes_)
          lanes.emplace_back(pipe, Scheme::ensemble_kernels(pipe, gas_), gas_);
      },
      scheme_of(limiter_));
  return lanes;
}

bool Network::alike(const std::vector<solver::PipeEnsemble>& lanes) const {
  if (lanes.size() != pipes_.size() || !lines_.empty()) return false;
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    const bool same_scheme = std::visit(
        [&]<class Scheme>(const Scheme&) {
          return lanes[i].steps_by(Scheme::ensemble_kernels(pipes_[i], gas_), gas_);
        },
        scheme_of(limiter_));
    if (!same_scheme || lanes[i].cells() != pipes_[i].cells()) return false;
  }
  return true;
}

void Network::seat(std::vector<solver::PipeEnsemble>& lanes, std::size_t lane) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) lanes[i].seat(lane, pipes_[i]);
}

void Network::leave(std::vector<solver::PipeEnsemble>& lanes, std::size_t lane) {
  for (auto& pipe : lanes) pipe.leave(lane);
}

void Network::collect(const std::vector<solver::PipeEnsemble>& lanes, std::size_t lane) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    first_order_fallbacks_ += lanes[i].used_first_order_fallback(lane) ? 1 : 0;
    fastest_[i] = pipes_[i].checked(lanes[i].check(lane), gas_);
  }
}

void Network::advance(double dt) {
  if (!lines_.empty()) {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      fastest_[i] = lines_[i].advance(gas_, dt);
      lines_[i].write(gas_, pipes_[i], dt);
    }
    return;
  }
  std::visit(
      [&]<class Scheme>(const Scheme&) {
        for (std::size_t i = 0; i < pipes_.size(); ++i) {
          const auto step = Scheme::advance(pipes_[i], gas_, dt);
          fastest_[i] = step.fastest;
          first_order_fallbacks_ += step.used_first_order_fallback ? 1 : 0;
        }
      },
      scheme_of(limiter_));
}

Content Network::content() const {
  Content sum;
  for (const auto& pipe : pipes_) {
    sum.mass += pipe.mass();
    sum.burnt += pipe.burnt();
    sum.energy += pipe.energy();
  }
  for (const auto& junction : junctions_) {
    sum.mass += junction.content().mass;
    sum.burnt += junction.content().burnt;
    sum.energy += junction.content().energy;
  }
  return sum;
}

double Network::wall_heat() const {
  double sum = settled_wall_heat_;
  for (const auto& pipe : pipes_) sum += PipeWall::heat_to_gas(pipe);
  return sum;
}

double Network::settle_walls(double elapsed) {
  settled_wall_heat_ = wall_heat();
  double largest = 0;
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    largest = std::max(largest, walls_[i].settle(pipes_[i], elapsed));
  }
  return largest;
}

}  // namespace pulsewright::models
