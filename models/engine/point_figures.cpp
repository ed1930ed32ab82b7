#include "models/engine/point_figures.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/boundary/crank_angle.hpp"
#include "models/cylinder/friction.hpp"
#include "models/figures/figure_means.hpp"
#include "models/figures/merge_figures.hpp"

namespace pulsewright::models {

namespace {

// What a cylinder and its ports did in a step.
CylinderStep step_of(const Network& network, std::size_t i, double angle,
                     const StepInterval& step) {
  const double exhaust_area = network.exhaust_area(i);
  const double intake_area = network.intake_area(i);
  const EndFlux<double>& exhaust = network.exhaust_flux(i);
  const EndFlux<double>& intake = network.intake_flux(i);
  CylinderStep s;
  s.angle = angle;
  s.d_angle = step.turned;
  s.dt = step.dt;
  s.exhaust_pressure = exhaust.p;
  s.intake_pressure = intake.p;
  s.exhaust_mass = exhaust_area * exhaust.mass;
  s.exhaust_burnt = exhaust_area * exhaust.burnt;
  s.exhaust_enthalpy = exhaust_area * exhaust.energy - 0.5 * s.exhaust_mass * exhaust.v * exhaust.v;
  s.intake_mass = -intake_area * intake.mass;
  s.intake_burnt = -intake_area * intake.burnt;
  s.cylinder_pressure = network.cylinders().pressure(i);
  s.cylinder_mass = network.cylinders().mass(i);
  s.cylinder_burnt = network.cylinders().burnt_mass(i);
  return s;
}

}  // namespace

PointFigures::PointFigures(const EngineSpecification& engine, double speed,
                           const RunSettings& settings, const Network& network)
    : engine_(engine),
      speed_(speed),
      settings_(settings),
      swept_(network.cylinders().crank().swept_volume()),
      reference_mass_(swept_ * engine.ambient.pressure /
                      (network.gas().gas_constant(0.0) * engine.ambient.temperature) /
                      (1.0 - engine.combustion.fuel_vapour)) {
  for (std::size_t i = 0; i < engine.cylinders.size(); ++i) {
    figures_.emplace_back(engine, swept_, reference_mass_);
  }
}

void PointFigures::begin_cycle(const Network& network, bool recorded) {
  history_.push_back({LedgerTotals(network), network.first_order_fallbacks(), {}, 0, 0});
  record_.reset();
  tracer_.reset();
  if (recorded) {
    record_.emplace(engine_, settings_);
    tracer_.emplace(engine_);
  }
  launching_ = recorded;
  sums_before_.clear();
  for (std::size_t i = 0; i < figures_.size(); ++i) {
    figures_[i].start();
    sums_before_.push_back(network.cylinders().sums(i));
  }
}

void PointFigures::sample_ports(const Network& network, const StepInterval& step) {
  for (std::size_t i = 0; i < figures_.size(); ++i) {
    const CylinderSpecification& cylinder = engine_.cylinders[i];
    const double angle = fold(step.angle - cylinder.firing_angle_deg);
    const CylinderStep s = step_of(network, i, angle, step);
    figures_[i].add(s);
    if (record_) {
      record_->add(i, s, network.pipes()[static_cast<std::size_t>(cylinder.exhaust.pipe)],
                   network.gas());
    }
    if (tracer_ && launching_) launch_pulse(i, angle, step.turned);
  }
}

// A mark is set off where the step passes one of the even angles after exhaust valve opening.
void PointFigures::launch_pulse(std::size_t cylinder, double angle, double turned) {
  const double opens = engine_.exhaust_valve.opens_deg;
  const double since = fold(angle + turned - opens);
  const double next = std::floor(since / PulseTracer::launch_step) * PulseTracer::launch_step;
  if (since <= PulseTracer::launch_span && since - turned < next) {
    tracer_->launch(cylinder, fold(opens + next));
  }
}

void PointFigures::end_step(const Network& network, const StepInterval& step, double before,
                            double after) {
  follow_pulses(network, step);
  if (record_) record_->add_network(before, after, network);
}

void PointFigures::follow_pulses(const Network& network, const StepInterval& step) {
  if (tracer_) tracer_->move(network.pipes(), network.gas(), step.dt, step.turned);
}

void PointFigures::end_cycle(const Network& network) {
  launching_ = false;
  Cycle& cycle = history_.back();
  for (std::size_t i = 0; i < figures_.size(); ++i) {
    const CylinderSums now = network.cylinders().sums(i);
    const CylinderSums& then = sums_before_[i];
    cycle.figures.push_back(figures_[i].finish(network.gas(), engine_.cylinders[i].number,
                                               now.work - then.work,
                                               now.work_gross - then.work_gross));
  }
  cycle.torque = torque_of(cycle.figures);
  cycle.overlap = mean_over_cylinders(cycle.figures, &CylinderFigures::overlap_exhaust_pressure);
}

std::vector<double> PointFigures::monitored_quantities(const Network& network) const {
  const Cycle& cycle = history_.back();
  std::vector<double> quantities;
  for (const auto& f : cycle.figures) {
    quantities.push_back(f.trapped_mass);
    quantities.push_back(f.imep);
    // Shifted so that a small fraction need not repeat better than a tenth of the charge would.
    quantities.push_back(0.1 + f.residual_fraction);
  }
  const std::vector<Content> outlets = network.outlets();
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    quantities.push_back(outlets[i].mass - cycle.before.outlets[i].mass);
  }
  for (const auto& pipe : network.pipes()) {
    quantities.push_back(PipeWall::mean_temperature(pipe));
  }
  return quantities;
}

double PointFigures::torque_of(const std::vector<CylinderFigures>& figures) const {
  const double piston_speed = 2.0 * engine_.geometry.stroke * speed_;
  double work = 0;
  for (const auto& f : figures) {
    work += swept_ * (f.imep - friction_pressure(engine_.friction, f.peak_pressure, piston_speed));
  }
  return work / (4.0 * std::numbers::pi);
}

void PointFigures::sum_up(const std::vector<CylinderFigures>& figures, PointResult& r) const {
  const auto n = static_cast<double>(figures_.size());
  r.cylinders = figures;
  r.torque = torque_of(figures);
  r.power = r.torque * 2.0 * std::numbers::pi * speed_;
  r.bmep = r.torque * 4.0 * std::numbers::pi / (n * swept_);
  mean_over_cylinders(figures, r);
  r.fmep = r.imep - r.bmep;
  // The mixture is made ahead of the intake valve (carburettor, port injection): fresh charge that
  // short-circuits takes its fuel along, and the ledger's fuel is only what was trapped.
  r.fuel_flow = r.volumetric_efficiency * n * reference_mass_ / engine_.combustion.air_fuel_ratio *
                0.5 * speed_ * dry_air_share(engine_.combustion);
}

std::vector<CylinderFigures> PointFigures::means_over(int period) const {
  std::vector<CylinderFigures> means;
  for (std::size_t i = 0; i < figures_.size(); ++i) {
    std::vector<CylinderFigures> cycles;
    for (auto cycle = history_.end() - period; cycle != history_.end(); ++cycle) {
      cycles.push_back(cycle->figures[i]);
    }
    means.push_back(mean_over_cycles(cycles));
  }
  return means;
}

void PointFigures::finish_period(const Network& network, int period, PointResult& result) {
  const std::size_t first = history_.size() - static_cast<std::size_t>(period);
  result.ledger = ledger_between(history_[first].before, LedgerTotals(network), period);
  result.clipped = network.first_order_fallbacks() - history_[first].first_order_fallbacks_before;
  pulse_angle_.clear();
  for (const CycleFigures& figures : figures_) pulse_angle_.push_back(figures.pulse_angle());
  sum_up(means_over(period), result);
  if (record_) record_->finish(result);
  record_.reset();
  if (first < static_cast<std::size_t>(period)) return;
  double torque = 0;
  double overlap = 0;
  for (std::size_t k = first - static_cast<std::size_t>(period); k < first; ++k) {
    torque += history_[k].torque / period;
    overlap += history_[k].overlap / period;
  }
  result.cycle_noise_torque = std::abs(result.torque - torque);
  result.cycle_noise_overlap = std::abs(result.overlap_exhaust_pressure - overlap);
}

void PointFigures::finish_pulses(const Network& network, PointResult& result) {
  if (!tracer_) return;
  result.merges = merge_figures(engine_, *tracer_, network.pipes(), pulse_angle_, speed_);
  tracer_.reset();
}

}  // namespace pulsewright::models
