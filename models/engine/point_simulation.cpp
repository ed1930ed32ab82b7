#include "models/engine/point_simulation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "models/cylinder/friction.hpp"
#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"

namespace pulsewright::models {

namespace {

constexpr double cycle_angle = 720.0;
constexpr double largest_step_angle = 1.0;  // deg of crank per time step

double fold(double angle) {
  const double a = angle - cycle_angle * std::floor(angle / cycle_angle);
  return a < cycle_angle ? a : 0.0;  // just below 0 it rounds to a whole cycle
}

double mean_of(const std::vector<CylinderFigures>& figures, double CylinderFigures::*field) {
  double sum = 0;
  for (const auto& f : figures) sum += f.*field;
  return sum / static_cast<double>(figures.size());
}

// A cycle is recorded when the one before had settled to this many times the tolerance: it may be
// the last.
constexpr double recording_margin = 30;

}  // namespace

PointSimulation::PointSimulation(const EngineSpecification& engine, double speed,
                                 const RunSettings& settings)
    : engine_(engine),
      speed_(speed),
      settings_(settings),
      gas_(solver::air_and_products(engine.combustion.hydrogen_to_carbon)),
      network_(engine, gas_, settings.limiter, settings.method),
      cylinders_(engine, speed),
      exhaust_valve_(engine.exhaust_valve),
      intake_valve_(engine.intake_valve),
      convergence_(settings.tolerance) {
  if (!(speed > 0)) throw std::invalid_argument("speed must be positive");
  if (engine.cylinders.empty()) throw std::invalid_argument("an engine needs a cylinder");
  const auto widest = [](const ValveSpecification& v) {
    double area = 0;
    for (const auto* curve : {&v.out, &v.in}) {
      for (const double a : curve->area) area = std::max(area, a * v.count);
    }
    return area;
  };
  for (std::size_t i = 0; i < engine.cylinders.size(); ++i) {
    const auto& spec = engine.cylinders[i];
    if (widest(engine.exhaust_valve) > network_.end_area(spec.exhaust) ||
        widest(engine.intake_valve) > network_.end_area(spec.intake)) {
      throw std::invalid_argument("cylinder " + std::to_string(spec.number) +
                                  ": the effective area of a valve is larger than its port");
    }
    cylinders_.fill(i, gas_, engine.ambient.pressure, engine.ambient.temperature, 0.0, 0.0);
  }
  const double swept = cylinders_.crank().swept_volume();
  reference_mass_ =
      swept * engine.ambient.pressure / (gas_.gas_constant(0.0) * engine.ambient.temperature);
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    figures_.emplace_back(engine, swept, reference_mass_);
    marks_.push_back(fold(engine.cylinders[i].firing_angle_deg));
  }
  marks_.push_back(cycle_angle);
  std::sort(marks_.begin(), marks_.end());
  marks_.erase(std::unique(marks_.begin(), marks_.end()), marks_.end());
  if (marks_.front() == 0) marks_.erase(marks_.begin());
}

void PointSimulation::start_from(const PointSimulation& other) {
  if (other.cylinders_.size() != cylinders_.size() || other.speed_ != speed_) {
    throw std::invalid_argument("start_from: not the same engine at the same speed");
  }
  if (other.angle_ != cycle_angle * other.cycles_) {
    throw std::invalid_argument("start_from: the other run stands within a cycle");
  }
  network_.start_from(other.network_);
  cylinders_ = other.cylinders_;
}

double PointSimulation::cylinder_angle(std::size_t i, double engine_angle) const {
  return fold(engine_angle - engine_.cylinders[i].firing_angle_deg);
}

void PointSimulation::add_valves(OrificeBatch& orifices, std::size_t first) {
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    const auto& spec = engine_.cylinders[i];
    const double middle = cylinder_angle(i, angle_) + 0.5 * d_angle_;
    const double exhaust_area = network_.end_area(spec.exhaust);
    const double intake_area = network_.end_area(spec.intake);
    const double exhaust_lift = exhaust_valve_.lift(middle);
    const double intake_lift = intake_valve_.lift(middle);
    const bool overlap = exhaust_lift > 0 && intake_lift > 0;
    network_.add_orifice(orifices, first + 2 * i, spec.exhaust,
                         overlap ? cylinders_.overlap_reservoir(i) : cylinders_.reservoir(i),
                         exhaust_valve_.area_out(exhaust_lift) / exhaust_area,
                         exhaust_valve_.area_in(exhaust_lift) / exhaust_area);
    // For the intake port "in" is into the cylinder, which is out of the pipe.
    network_.add_orifice(orifices, first + 2 * i + 1, spec.intake, cylinders_.reservoir(i),
                         intake_valve_.area_out(intake_lift) / intake_area,
                         intake_valve_.area_in(intake_lift) / intake_area);
  }
}

void PointSimulation::take_valves(const OrificeBatch& orifices, std::size_t first) {
  const auto flow_into_cylinder = [](const EndFlux<double>& f, double area) {
    return ValveFlow{-area * f.mass, -area * f.energy, -area * f.burnt};
  };
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    const auto& spec = engine_.cylinders[i];
    const EndFlux<double>& exhaust = orifices.flux(first + 2 * i);
    const EndFlux<double>& intake = orifices.flux(first + 2 * i + 1);
    network_.set_flux(spec.exhaust, exhaust);
    network_.set_flux(spec.intake, intake);
    cylinders_.set_flow(i, flow_into_cylinder(exhaust, network_.end_area(spec.exhaust)),
                        flow_into_cylinder(intake, network_.end_area(spec.intake)));
  }
  cylinders_.step(gas_, angle_, d_angle_, dt_);
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    record_cylinder(i, orifices.flux(first + 2 * i), orifices.flux(first + 2 * i + 1));
  }
}

void PointSimulation::record_cylinder(std::size_t i, const EndFlux<double>& exhaust,
                                      const EndFlux<double>& intake) {
  const auto& spec = engine_.cylinders[i];
  const double angle = cylinder_angle(i, angle_);
  const double exhaust_area = network_.end_area(spec.exhaust);
  const double intake_area = network_.end_area(spec.intake);
  CylinderStep s;
  s.angle = angle;
  s.d_angle = d_angle_;
  s.dt = dt_;
  s.exhaust_pressure = exhaust.p;
  s.intake_pressure = intake.p;
  s.exhaust_mass = exhaust_area * exhaust.mass;
  s.exhaust_burnt = exhaust_area * exhaust.burnt;
  s.exhaust_enthalpy = exhaust_area * exhaust.energy - 0.5 * s.exhaust_mass * exhaust.v * exhaust.v;
  s.intake_mass = -intake_area * intake.mass;
  s.intake_burnt = -intake_area * intake.burnt;
  s.cylinder_pressure = cylinders_.pressure(i);
  s.cylinder_mass = cylinders_.mass(i);
  s.cylinder_burnt = cylinders_.burnt_mass(i);
  figures_[i].add(s);
  if (record_) {
    record_->add(i, s, network_.pipes()[static_cast<std::size_t>(spec.exhaust.pipe)], gas_);
  }
  if (tracer_ && launching_) {
    const double since = fold(angle + d_angle_ - exhaust_valve_.opens());
    const double next = std::floor(since / PulseTracer::launch_step) * PulseTracer::launch_step;
    if (since <= PulseTracer::launch_span && since - d_angle_ < next) {
      tracer_->launch(i, fold(exhaust_valve_.opens() + next));
    }
  }
}

double PointSimulation::allowed_step() const {
  return std::min(network_.stable_step(settings_.courant), largest_step_angle / (360.0 * speed_));
}

void PointSimulation::set_step(double dt) {
  dt_ = dt;
  d_angle_ = 360.0 * speed_ * dt;
}

void PointSimulation::begin_ends() {
  first_round_ = true;
  cylinders_.look_ahead(gas_, dt_);
  network_.begin_ends(dt_);
}

bool PointSimulation::ask(OrificeBatch& orifices, std::size_t first) {
  if (first_round_) add_valves(orifices, first);
  const bool asked = network_.ask(orifices, first + valves_per_cylinder * cylinders_.size());
  return asked || first_round_;
}

void PointSimulation::take(const OrificeBatch& orifices, std::size_t first) {
  if (first_round_) take_valves(orifices, first);
  first_round_ = false;
  network_.take(orifices, first + valves_per_cylinder * cylinders_.size());
}

void PointSimulation::end_step() {
  if (tracer_) tracer_->move(network_.pipes(), gas_, dt_, d_angle_);
  angle_ += d_angle_;
  ++steps_;
  if (stage_ == Stage::pulses) return;
  turned_ += d_angle_;
  angle_ = cycle_angle * cycles_ + from_ + turned_;
  if (record_) record_->add_network(before_, from_ + turned_, network_);
}

void PointSimulation::step_alone() {
  network_.predict(dt_);
  begin_ends();
  for (orifices_.clear(); ask(orifices_, 0); orifices_.clear()) {
    orifices_.solve(gas_);
    take(orifices_, 0);
  }
  network_.advance(dt_);
  end_step();
}

void PointSimulation::begin_cycle() {
  for (auto& f : figures_) f.start();
  sums_at_start_.clear();
  for (std::size_t i = 0; i < cylinders_.size(); ++i) sums_at_start_.push_back(cylinders_.sums(i));
  mark_ = 0;
  from_ = turned_ = 0;
  network_.start_renewal();
}

// Steps land on every firing, so that an engine that fires evenly is stepped evenly too.
bool PointSimulation::begin_step_of_cycle() {
  while (mark_ < marks_.size()) {
    const double span = marks_[mark_] - from_;
    if (span - turned_ > 1e-9) {
      const double left = (span - turned_) / (360.0 * speed_);
      before_ = from_ + turned_;
      set_step(left / std::ceil(left / allowed_step()));
      return true;
    }
    from_ = marks_[mark_];
    angle_ = cycle_angle * cycles_ + from_;
    turned_ = 0;
    if (++mark_ < marks_.size()) network_.start_renewal();
  }
  return false;
}

void PointSimulation::run_cycle() {
  begin_cycle();
  while (begin_step_of_cycle()) step_alone();
  ++cycles_;
}

std::vector<CylinderFigures> PointSimulation::cycle_figures() {
  std::vector<CylinderFigures> result;
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    const CylinderSums now = cylinders_.sums(i);
    const CylinderSums& then = sums_at_start_[i];
    result.push_back(figures_[i].finish(gas_, engine_.cylinders[i].number, now.work - then.work,
                                        now.work_gross - then.work_gross));
  }
  return result;
}

std::vector<double> PointSimulation::monitored_quantities(
    const std::vector<CylinderFigures>& figures, const std::vector<OutletSums>& before) const {
  std::vector<double> s;
  for (const auto& f : figures) {
    s.push_back(f.trapped_mass);
    s.push_back(f.imep);
    // Shifted so that a small fraction need not repeat better than a tenth of the charge would.
    s.push_back(0.1 + f.residual_fraction);
  }
  for (std::size_t i = 0; i < before.size(); ++i) {
    s.push_back(network_.outlets()[i].mass - before[i].mass);
  }
  for (const auto& pipe : network_.pipes()) s.push_back(PipeWall::mean_temperature(pipe));
  return s;
}

double PointSimulation::torque_of(const std::vector<CylinderFigures>& figures) const {
  const double swept = cylinders_.crank().swept_volume();
  const double piston_speed = 2.0 * engine_.geometry.stroke * speed_;
  double work = 0;
  for (const auto& f : figures) {
    work += swept * (f.imep - friction_pressure(engine_.friction, f.peak_pressure, piston_speed));
  }
  return work / (4.0 * std::numbers::pi);
}

Content PointSimulation::content() const {
  Content sum = network_.content();
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    sum.mass += cylinders_.mass(i);
    sum.burnt += cylinders_.burnt_mass(i);
    sum.energy += cylinders_.internal_energy(i);
  }
  return sum;
}

PointSimulation::Totals PointSimulation::totals() const {
  Totals t;
  t.content = content();
  t.outlets = network_.outlets();
  for (const auto& junction : network_.junctions()) {
    t.opening_mass += junction.opening_mass();
    t.opening_burnt += junction.opening_burnt();
    t.opening_energy += junction.opening_energy();
  }
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    const CylinderSums s = cylinders_.sums(i);
    t.fuel += s.fuel;
    t.made_burnt += s.made_burnt;
    t.heat += s.heat;
    t.work += s.work;
    t.wall_heat += s.wall_heat;
  }
  t.wall_heat -= network_.wall_heat();
  return t;
}

Ledger PointSimulation::ledger_between(const Totals& a, const Totals& b, double cycles) {
  Ledger ledger;
  const auto flow = [&](LedgerLine& line, double OutletSums::*field, double opening) {
    (opening >= 0 ? line.in : line.out) += std::abs(opening);
    for (std::size_t i = 0; i < a.outlets.size(); ++i) {
      const double out = b.outlets[i].*field - a.outlets[i].*field;
      // A mouth counts as inlet or outlet by the direction of its net mass.
      const bool outlet = b.outlets[i].mass > a.outlets[i].mass;
      (outlet ? line.out : line.in) += outlet ? out : -out;
    }
  };
  flow(ledger.mass, &OutletSums::mass, b.opening_mass - a.opening_mass);
  flow(ledger.burnt, &OutletSums::burnt, b.opening_burnt - a.opening_burnt);
  flow(ledger.energy, &OutletSums::energy, b.opening_energy - a.opening_energy);
  ledger.mass.source = b.fuel - a.fuel;
  ledger.burnt.source = b.made_burnt - a.made_burnt;
  ledger.energy.source = b.heat - a.heat;
  ledger.energy.lost = (b.work - a.work) + (b.wall_heat - a.wall_heat);
  ledger.mass.stored = b.content.mass - a.content.mass;
  ledger.burnt.stored = b.content.burnt - a.content.burnt;
  ledger.energy.stored = b.content.energy - a.content.energy;
  for (LedgerLine* line : {&ledger.mass, &ledger.burnt, &ledger.energy}) {
    for (double* value : {&line->in, &line->source, &line->out, &line->lost, &line->stored}) {
      *value /= cycles;
    }
    const double turnover = std::abs(line->in) + line->source;
    line->imbalance = (line->in + line->source - line->out - line->lost - line->stored) / turnover;
  }
  return ledger;
}

void PointSimulation::sum_up(const std::vector<CylinderFigures>& figures, PointResult& r) const {
  const double swept = cylinders_.crank().swept_volume();
  const auto n = static_cast<double>(cylinders_.size());
  r.cylinders = figures;
  r.torque = torque_of(figures);
  r.power = r.torque * 2.0 * std::numbers::pi * speed_;
  r.bmep = r.torque * 4.0 * std::numbers::pi / (n * swept);
  using F = CylinderFigures;
  r.imep = mean_of(figures, &F::imep);
  r.pmep = mean_of(figures, &F::pmep);
  r.fmep = r.imep - r.bmep;
  r.volumetric_efficiency = mean_of(figures, &F::volumetric_efficiency);
  r.delivery_ratio = mean_of(figures, &F::delivery_ratio);
  r.residual_fraction = mean_of(figures, &F::residual_fraction);
  r.short_circuit_fraction = mean_of(figures, &F::short_circuit_fraction);
  r.overlap_exhaust_pressure = mean_of(figures, &F::overlap_exhaust_pressure);
  r.overlap_difference = mean_of(figures, &F::overlap_difference);
  r.depression = mean_of(figures, &F::depression);
  r.depression_angle = mean_of(figures, &F::depression_angle);
  r.exhaust_stroke_pressure = mean_of(figures, &F::exhaust_stroke_pressure);
  r.blowdown_pulse = mean_of(figures, &F::blowdown_pulse);
  r.exhaust_temperature = mean_of(figures, &F::exhaust_temperature);
  r.fuel_flow = r.ledger.mass.source * 0.5 * speed_;
}

// A cycle that is judged, and recorded where it may be the last.
void PointSimulation::begin_judged_cycle() {
  const bool last = static_cast<int>(history_.size()) + 1 >= settings_.most_cycles;
  const bool recorded = last || convergence_.residual() <= recording_margin * settings_.tolerance;
  Cycle cycle;
  cycle.before = totals();
  cycle.first_order_fallbacks_before = network_.first_order_fallbacks();
  history_.push_back(std::move(cycle));
  record_.reset();
  tracer_.reset();
  if (recorded) {
    record_.emplace(engine_, settings_, network_.pipes());
    tracer_.emplace(engine_);
  }
  launching_ = recorded;
  begin_cycle();
}

void PointSimulation::end_judged_cycle() {
  ++cycles_;
  launching_ = false;
  network_.settle_walls(2.0 / speed_);
  Cycle& cycle = history_.back();
  cycle.figures = cycle_figures();
  cycle.torque = torque_of(cycle.figures);
  cycle.overlap = mean_of(cycle.figures, &CylinderFigures::overlap_exhaust_pressure);
  convergence_.add(monitored_quantities(cycle.figures, cycle.before.outlets));
}

// Figures are means over the last period, traces those of its last cycle.
void PointSimulation::sum_up_period(int period) {
  PointResult& result = result_;
  const std::size_t first = history_.size() - static_cast<std::size_t>(period);
  result.ledger = ledger_between(history_[first].before, totals(), period);
  result.clipped = network_.first_order_fallbacks() - history_[first].first_order_fallbacks_before;
  std::vector<CylinderFigures> mean;
  pulse_angle_.clear();
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    std::vector<CylinderFigures> set;
    for (std::size_t k = first; k < history_.size(); ++k) set.push_back(history_[k].figures[i]);
    mean.push_back(mean_figures(set));
    pulse_angle_.push_back(figures_[i].pulse_angle());
  }
  sum_up(mean, result);
  record_->finish(result);
  result.cycles = cycles_;
  if (first >= static_cast<std::size_t>(period)) {
    double torque = 0;
    double overlap = 0;
    for (std::size_t k = first - static_cast<std::size_t>(period); k < first; ++k) {
      torque += history_[k].torque / period;
      overlap += history_[k].overlap / period;
    }
    result.cycle_noise_torque = std::abs(result.torque - torque);
    result.cycle_noise_overlap = std::abs(result.overlap_exhaust_pressure - overlap);
  }
  record_.reset();
}

// Lets the pulses under way arrive, then goes back to the end of the cycle: nothing of this enters
// the figures.
void PointSimulation::begin_pulses() { end_of_cycle_ = EndOfCycle{network_, cylinders_, angle_}; }

void PointSimulation::end_pulses() {
  network_ = end_of_cycle_->network;
  cylinders_ = end_of_cycle_->cylinders;
  angle_ = end_of_cycle_->angle;
  end_of_cycle_.reset();
  result_.merges = merge_figures(engine_, *tracer_, network_.pipes(), pulse_angle_, speed_);
  result_.steps = steps_;
  tracer_.reset();
}

void PointSimulation::start() {
  result_ = {};
  result_.speed = speed_;
  for (const auto& pipe : network_.pipes()) {
    result_.cells += static_cast<int>(pipe.cells());
    result_.cell_size += pipe.length();
  }
  result_.cell_size /= result_.cells;
  history_.clear();
  convergence_ = CycleConvergence(settings_.tolerance);
  stage_ = Stage::between_cycles;
}

bool PointSimulation::begin_step(const std::function<bool()>& keep_going) {
  while (true) {
    switch (stage_) {
      case Stage::between_cycles:
        begin_judged_cycle();
        stage_ = Stage::cycle;
        break;
      case Stage::cycle: {
        if (begin_step_of_cycle()) return true;
        end_judged_cycle();
        const bool enough = static_cast<int>(history_.size()) >= settings_.least_cycles;
        const int period = enough && record_ ? convergence_.period() : 0;
        if (keep_going && !keep_going()) throw RunStopped();
        stage_ = Stage::between_cycles;
        if (period == 0 && static_cast<int>(history_.size()) < settings_.most_cycles) break;
        result_.converged = period > 0;
        result_.period = std::max(1, period);
        sum_up_period(result_.period);
        begin_pulses();
        stage_ = Stage::pulses;
        break;
      }
      case Stage::pulses:
        if (tracer_->any_moving() && angle_ < end_of_cycle_->angle + cycle_angle) {
          set_step(allowed_step());
          return true;
        }
        end_pulses();
        stage_ = Stage::done;
        break;
      case Stage::done:
        return false;
    }
  }
}

PointResult PointSimulation::run(const std::function<bool()>& keep_going) {
  try {
    start();
    while (begin_step(keep_going)) step_alone();
  } catch (const solver::Fault& f) {
    throw fault(f);
  }
  return result_;
}

RunFault PointSimulation::fault(const solver::Fault& fault) const {
  return RunFault(std::string(fault.what()) + ", at crank angle " + std::to_string(fold(angle_)) +
                  " deg of cycle " + std::to_string(cycles_ + 1) + ", speed " +
                  std::to_string(60.0 * speed_) + " rpm");
}

}  // namespace pulsewright::models
