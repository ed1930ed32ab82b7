#include "models/network/pipe_set.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "models/boundary/weighted_mean.hpp"
#include "solver/pipe/interpolation.hpp"

namespace pulsewright::models {

namespace {

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

// Velocity counted into the pipe.
solver::Primitive<double> seen_from(Side side, solver::Primitive<double> state) {
  state.u *= inward(side);
  return state;
}

double end_area(const solver::Pipe& pipe, Side side) {
  return side == Side::left ? pipe.area_left() : pipe.area_right();
}

// The mean of the cell in place of a predicted state.
PipeEndState end_cell(const solver::Pipe& pipe, Side side) {
  const auto k = side == Side::left ? 0 : static_cast<std::ptrdiff_t>(pipe.cells()) - 1;
  const auto mean = seen_from(side, {pipe.rho[k], pipe.u[k], pipe.p[k], pipe.Y[k]});
  return {mean, end_area(pipe, side), mean, pipe.T[k]};
}

}  // namespace

template <class Limiter>
void FiniteVolumes<Limiter>::predict(std::vector<solver::Pipe>& pipes, const solver::Gas& gas,
                                     double dt) {
  for (solver::Pipe& pipe : pipes) Scheme::predict(pipe, gas, dt);
}

template <class Limiter>
template <bool with_cell>
PipeEndState FiniteVolumes<Limiter>::end(const solver::Pipe& pipe, std::size_t, Side side) const {
  PipeEndState end;
  if constexpr (with_cell) end = end_cell(pipe, side);
  end.predicted = seen_from(side, side == Side::left ? pipe.left_end() : pipe.right_end());
  end.area = end_area(pipe, side);
  return end;
}

template <class Limiter>
void FiniteVolumes<Limiter>::set_flux(solver::Pipe& pipe, std::size_t, Side side,
                                      const solver::Gas&, const EndFlux<double>& flux) {
  const solver::Flux<double> f = as_pipe_flux(flux, inward(side));
  side == Side::left ? pipe.set_flux_left(f) : pipe.set_flux_right(f);
}

template <class Limiter>
long FiniteVolumes<Limiter>::advance(std::vector<solver::Pipe>& pipes, const solver::Gas& gas,
                                     double dt, std::vector<double>& fastest) {
  long fallbacks = 0;
  for (std::size_t i = 0; i < pipes.size(); ++i) {
    const auto step = Scheme::advance(pipes[i], gas, dt);
    fastest[i] = step.fastest;
    fallbacks += step.used_first_order_fallback ? 1 : 0;
  }
  return fallbacks;
}

template <class Limiter>
std::vector<solver::PipeEnsemble> FiniteVolumes<Limiter>::ensembles(
    const std::vector<solver::Pipe>& pipes, const solver::Gas& gas) const {
  std::vector<solver::PipeEnsemble> ensembles;
  ensembles.reserve(pipes.size());
  for (const solver::Pipe& pipe : pipes) {
    const solver::EnsembleKernelTable& kernels = Scheme::ensemble_kernels(pipe, gas);
    if (kernels.advance == nullptr) return {};  // a limiter to compare with: pipe by pipe
    ensembles.emplace_back(pipe, kernels, gas);
  }
  return ensembles;
}

template <class Limiter>
bool FiniteVolumes<Limiter>::matches(const solver::PipeEnsemble& ensemble, const solver::Pipe& pipe,
                                     const solver::Gas& gas) const {
  return ensemble.steps_by(Scheme::ensemble_kernels(pipe, gas), gas) &&
         ensemble.cells() == pipe.cells();
}

void Characteristics::start(const std::vector<solver::Pipe>& pipes, const solver::Gas& gas) {
  pipes_.clear();
  for (const solver::Pipe& pipe : pipes) pipes_.emplace_back(pipe, gas);
}

void Characteristics::predict(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) pipes_[i].predict_ends(gas, pipes[i], dt);
}

// The particles at an end keep their entropy: there is no mean of a cell beside it.
template <bool with_cell>
PipeEndState Characteristics::end(const solver::Pipe& pipe, std::size_t i, Side side) const {
  PipeEndState end = end_cell(pipe, side);
  end.cell = end.predicted =
      seen_from(side, side == Side::left ? pipes_[i].left_end() : pipes_[i].right_end());
  return end;
}

void Characteristics::set_flux(solver::Pipe&, std::size_t i, Side side, const solver::Gas& gas,
                               const EndFlux<double>& flux) {
  const auto state = state_at_end(gas, flux, inward(side));
  side == Side::left ? pipes_[i].set_left(state) : pipes_[i].set_right(state);
}

long Characteristics::advance(std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt,
                              std::vector<double>& fastest) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    fastest[i] = pipes_[i].advance(gas, dt);
    pipes_[i].write(gas, pipes[i], dt);
  }
  return 0;
}

PipeSet::PipeSet(const NetworkSpecification& network, const solver::Gas& gas, LimiterChoice limiter,
                 Method method)
    : gas_(gas) {
  for (const PipeSpecification& spec : network.pipes) {
    pipes_.push_back(make_pipe(spec, network.ambient, gas_));
    fastest_.push_back(pipes_.back().refresh(gas_));
  }
  if (method == Method::characteristics) {
    method_ = Characteristics{};
  } else if (limiter == LimiterChoice::van_leer) {
    method_ = FiniteVolumes<solver::LimiterVanLeer>{};
  } else if (limiter == LimiterChoice::minmod) {
    method_ = FiniteVolumes<solver::LimiterMinmod>{};
  }
  std::visit([&](auto& m) { m.start(pipes_, gas_); }, method_);
}

double PipeSet::stable_step(double courant) const {
  double dt = 1e9;
  for (std::size_t i = 0; i < pipes_.size(); ++i) dt = std::min(dt, pipes_[i].dx() / fastest_[i]);
  return courant * dt;
}

void PipeSet::predict(double dt) {
  std::visit([&](auto& m) { m.predict(pipes_, gas_, dt); }, method_);
}

template <bool with_cell>
PipeEndState PipeSet::end(const PipeEnd& end) const {
  const auto i = static_cast<std::size_t>(end.pipe);
  return std::visit(
      [&](const auto& m) { return m.template end<with_cell>(pipes_[i], i, end.side); }, method_);
}
template PipeEndState PipeSet::end<false>(const PipeEnd& end) const;
template PipeEndState PipeSet::end<true>(const PipeEnd& end) const;

PipeEndState PipeSet::end_at_rest(const PipeEnd& end) const {
  return end_cell(pipes_.at(static_cast<std::size_t>(end.pipe)), end.side);
}

void PipeSet::set_flux(const PipeEnd& end, const EndFlux<double>& flux) {
  const auto i = static_cast<std::size_t>(end.pipe);
  std::visit([&](auto& m) { m.set_flux(pipes_[i], i, end.side, gas_, flux); }, method_);
}

void PipeSet::advance(double dt) {
  first_order_fallbacks_ +=
      std::visit([&](auto& m) { return m.advance(pipes_, gas_, dt, fastest_); }, method_);
}

std::vector<solver::PipeEnsemble> PipeSet::ensembles() const {
  return std::visit([&](const auto& m) { return m.ensembles(pipes_, gas_); }, method_);
}

bool PipeSet::matches(const std::vector<solver::PipeEnsemble>& ensembles) const {
  if (ensembles.size() != pipes_.size()) return false;
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    const bool same = std::visit(
        [&](const auto& m) { return m.matches(ensembles[i], pipes_[i], gas_); }, method_);
    if (!same) return false;
  }
  return true;
}

void PipeSet::collect(const std::vector<solver::PipeEnsemble>& ensembles, std::size_t member) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    first_order_fallbacks_ += ensembles[i].used_first_order_fallback(member) ? 1 : 0;
    fastest_[i] = pipes_[i].checked(ensembles[i].check(member), gas_);
  }
}

void PipeSet::start_from(const std::vector<const solver::Pipe*>& sources) {
  if (sources.size() != pipes_.size()) {
    throw std::invalid_argument("start_from: not the same network");
  }
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    const solver::Pipe& from = *sources[i];
    solver::Pipe& to = pipes_[i];
    const double stretch = from.length() / to.length();
    const auto sample = [&](const solver::CellArray& w, double x) {
      return solver::interpolated(from, x * stretch, w);
    };
    to.fill(gas_, [&](double x) {
      return solver::Primitive<double>{sample(from.rho, x), sample(from.u, x), sample(from.p, x),
                                       sample(from.Y, x)};
    });
    for (std::size_t c = 0; c < to.cells(); ++c) {
      to.T_wall[static_cast<std::ptrdiff_t>(c)] = sample(from.T_wall, to.centre(c));
    }
    fastest_[i] = to.refresh(gas_);
  }
  std::visit([&](auto& m) { m.start(pipes_, gas_); }, method_);
}

void PipeSet::set_mean_gas(const std::vector<std::vector<const solver::Pipe*>>& sources,
                           const std::vector<double>& weights) {
  for (std::size_t i = 0; i < pipes_.size(); ++i) {
    solver::Pipe& to = pipes_[i];
    using Field = solver::CellArray solver::Pipe::*;
    const auto mean = [&](Field field, std::ptrdiff_t cell) {
      return weighted_mean(weights, [&](std::size_t k) { return (sources[i][k]->*field)[cell]; });
    };
    const auto geometric = [&](Field field, std::ptrdiff_t cell) {
      return weighted_geometric_mean(weights,
                                     [&](std::size_t k) { return (sources[i][k]->*field)[cell]; });
    };
    to.fill(gas_, [&](double x) {
      const auto cell = static_cast<std::ptrdiff_t>(x / to.dx());
      return solver::Primitive<double>{
          geometric(&solver::Pipe::rho, cell), mean(&solver::Pipe::u, cell),
          geometric(&solver::Pipe::p, cell), std::clamp(mean(&solver::Pipe::Y, cell), 0.0, 1.0)};
    });
    for (std::size_t c = 0; c < to.cells(); ++c) {
      const auto cell = static_cast<std::ptrdiff_t>(c);
      to.T_wall[cell] = geometric(&solver::Pipe::T_wall, cell);
    }
    fastest_[i] = to.refresh(gas_);
  }
  std::visit([&](auto& m) { m.start(pipes_, gas_); }, method_);
}

}  // namespace pulsewright::models
