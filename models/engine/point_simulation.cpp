#include "models/engine/point_simulation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "models/boundary/crank_angle.hpp"
#include "models/figures/cylinder_pattern.hpp"
#include "models/figures/whole_engine.hpp"
#include "solver/gas/thermodynamics.hpp"

namespace pulsewright::models {

namespace {

constexpr double largest_step_angle = 1.0;  // deg of crank per time step
constexpr double same_angle = 1e-9;         // deg

// A cycle is recorded when the one before had converged to this many times the tolerance: it may be
// the last.
constexpr double recording_margin = 30;

// Which patterns exist is found out at this part of the tolerance: a pattern that grows or fades
// slowly repeats within the tolerance itself from cycle to cycle. Not before so many cycles, and
// with no more than so many for each.
constexpr double pattern_tolerance = 0.01;
constexpr int least_pattern_cycles = 12;
constexpr int most_pattern_cycles = 150;

}  // namespace

PointSimulation::PointSimulation(const EngineSpecification& engine, double speed,
                                 const RunSettings& settings)
    : engine_(engine),
      parts_(parts_to_compute(engine, settings)),
      speed_(speed > 0 ? speed : throw std::invalid_argument("speed must be positive")),
      settings_(settings),
      network_(parts_.computed,
               solver::air_and_products(engine.combustion.hydrogen_to_carbon,
                                        engine.combustion.oxygen_to_carbon),
               settings.limiter, settings.method, speed),
      figures_(parts_.computed, speed, settings, network_),
      convergence_(settings.tolerance) {
  if (engine.cylinders.empty()) throw std::invalid_argument("an engine needs a cylinder");
  const auto wave = static_cast<std::size_t>(settings.wave_cylinder);
  if (wave < parts_.cylinders.size()) {
    settings_.wave_cylinder = static_cast<int>(parts_.cylinders[wave].source);
  }
  for (const double shift : parts_.shifts()) shifted_.push_back({shift, std::nullopt});
  find_marks();
}

// Steps land on every firing, so that an engine that fires evenly is stepped evenly too.
void PointSimulation::find_marks() {
  marks_.clear();
  for (const auto& cylinder : engine_.cylinders) {
    marks_.push_back(fold(cylinder.firing_angle_deg));
  }
  marks_.push_back(cycle_angle);
  for (const Shifted& shifted : shifted_) marks_.push_back(cycle_angle - shifted.shift);
  if (second_) {
    for (std::size_t k = 1; k < second_->symmetry.order(); ++k) {
      marks_.push_back(static_cast<double>(k) * second_->symmetry.turn);
    }
  }
  std::sort(marks_.begin(), marks_.end());
  marks_.erase(std::unique(marks_.begin(), marks_.end()), marks_.end());
  if (marks_.front() == 0) marks_.erase(marks_.begin());
}

void PointSimulation::start_from(const PointSimulation& other) {
  if (other.engine_.cylinders.size() != engine_.cylinders.size() || other.speed_ != speed_) {
    throw std::invalid_argument("start_from: not the same engine at the same speed");
  }
  if (other.angle_ != cycle_angle * other.cycles_) {
    throw std::invalid_argument("start_from: the other run stands within a cycle");
  }
  if (other.engine_.pipes.size() != engine_.pipes.size()) {
    throw std::invalid_argument("start_from: not the same pipes");
  }
  std::vector<Network::Source> pipes(network_.pipes().size());
  std::vector<Network::Source> cylinders(network_.cylinders().size());
  const auto set = [&](std::vector<Network::Source>& sources,
                       const std::vector<RepeatedParts::Image>& own,
                       const std::vector<RepeatedParts::Image>& theirs) {
    for (std::size_t i = 0; i < own.size(); ++i) {
      if (own[i].copy == 0) sources[own[i].source] = other.source_of(theirs[i]);
    }
  };
  set(pipes, parts_.pipes, other.parts_.pipes);
  set(cylinders, parts_.cylinders, other.parts_.cylinders);
  network_.start_from(pipes, cylinders);
}

Network::Source PointSimulation::source_of(const RepeatedParts::Image& image) const {
  for (const Shifted& shifted : shifted_) {
    // Before the first cycle all gas is at rest, whatever the crank angle.
    if (shifted.shift == image.shift && shifted.network) return {&*shifted.network, image.source};
  }
  return {&network_, image.source};
}

// ---- the steps of a cycle

double PointSimulation::largest_step() {
  const double own = network_.stable_step(settings_.courant);
  if (stage_ == Stage::cycle && !shifted_.empty()) {
    stable_steps_.push_back({from_ + turned_, own});
  }
  return std::min({own, step_of_copies(), largest_step_angle / (360.0 * speed_)});
}

// Of each copy that of its source, a shift ago.
double PointSimulation::step_of_copies() const {
  double least = std::numeric_limits<double>::infinity();
  const bool in_cycle = stage_ == Stage::cycle;
  const double now = in_cycle ? from_ + turned_ : fold(angle_);
  for (const Shifted& shifted : shifted_) {
    const double then = now - shifted.shift + same_angle;
    const auto& steps = in_cycle && then < 0 ? stable_steps_before_ : stable_steps_;
    const double angle = fold(then);
    const auto after =
        std::upper_bound(steps.begin(), steps.end(), angle,
                         [](double value, const StableStep& s) { return value < s.angle; });
    if (after != steps.begin()) least = std::min(least, (after - 1)->dt);
  }
  return least;
}

StepInterval PointSimulation::interval(double dt) const {
  if (!(dt > 0)) throw solver::Fault("network", "time step in s", dt, -1);
  return {dt, angle_, 360.0 * speed_ * dt};
}

void PointSimulation::begin_cycle(bool recorded) {
  figures_.begin_cycle(network_, recorded);
  mark_ = 0;
  from_ = turned_ = 0;
  stable_steps_before_.swap(stable_steps_);
  stable_steps_.clear();
  network_.start_renewal();
}

std::optional<StepInterval> PointSimulation::step_of_cycle() {
  while (mark_ < marks_.size()) {
    const double span = marks_[mark_] - from_;
    if (span - turned_ > same_angle) {
      const double left = (span - turned_) / (360.0 * speed_);
      return interval(left / std::ceil(left / largest_step()));
    }
    from_ = marks_[mark_];
    angle_ = cycle_angle * cycles_ + from_;
    turned_ = 0;
    if (second_ && second_->stage == SecondRun::Stage::snapshots) keep_snapshot();
    if (!second_) keep_shifted();
    if (++mark_ < marks_.size()) network_.start_renewal();
  }
  return std::nullopt;
}

void PointSimulation::sample_ports(const StepInterval& step) {
  figures_.sample_ports(network_, step);
}

void PointSimulation::end_step(const StepInterval& step) {
  ++steps_;
  if (stage_ == Stage::pulses) {
    figures_.follow_pulses(network_, step);
    angle_ += step.turned;
    return;
  }
  const double before = from_ + turned_;
  turned_ += step.turned;
  angle_ = cycle_angle * cycles_ + from_ + turned_;
  figures_.end_step(network_, step, before, from_ + turned_);
}

void PointSimulation::end_cycle() {
  ++cycles_;
  network_.balance_wall_temperatures(2.0 / speed_);
  figures_.end_cycle(network_);
  convergence_.add(figures_.monitored_quantities(network_));
  if (settings_.accelerate && !second_) acceleration_.add(network_);
}

// ---- the stages of a run

void PointSimulation::start() {
  result_ = {};
  result_.speed = speed_;
  for (const auto& pipe : network_.pipes()) {
    result_.cells += static_cast<int>(pipe.cells());
    result_.cell_size += pipe.length();
  }
  result_.cell_size /= result_.cells;
  stable_steps_.clear();
  stable_steps_before_.clear();
  most_cycles_ = settings_.most_cycles;
  start_figures(settings_.tolerance);
  if (settings_.accelerate) acceleration_.start(network_);
  stage_ = Stage::between_cycles;
}

void PointSimulation::start_figures(double tolerance) {
  figures_ = PointFigures(parts_.computed, speed_, settings_, network_);
  convergence_ = CycleConvergence(tolerance);
}

// Whether the pattern repeats, or there may be no more cycles: then the figures are summed up and
// the pulses under way may arrive, after which the network goes back to the end of the cycle.
bool PointSimulation::cycles_are_done() {
  const bool enough = figures_.cycles() >= settings_.least_cycles;
  const bool complete = enough && (figures_.recorded() || !settings_.record);
  int period = complete ? convergence_.period() : 0;
  if (settings_.accelerate && acceleration_.residual() > settings_.tolerance) period = 0;
  if (period == 0 && enough && figures_.cycles() < most_cycles_ &&
      convergence_.will_not_repeat_within(settings_.most_cycles)) {
    // The last cycle is recorded.
    most_cycles_ = figures_.cycles() + (figures_.recorded() || !settings_.record ? 0 : 1);
  }
  if (period == 0 && figures_.cycles() < most_cycles_) {
    if (settings_.accelerate) acceleration_.extrapolate(network_);
    return false;
  }
  acceleration_.clear();
  result_.converged = period > 0;
  result_.period = std::max(1, period);
  result_.cycles = cycles_;
  figures_.finish_period(network_, result_.period, result_);
  end_of_cycle_ = EndOfCycle{network_, angle_};
  return true;
}

void PointSimulation::end_pulses() {
  network_ = end_of_cycle_->network;
  angle_ = end_of_cycle_->angle;
  end_of_cycle_.reset();
  figures_.finish_pulses(network_, result_);
  result_.steps = steps_;
  if (parts_.copies > 1) result_ = whole_engine(engine_, parts_, result_);
}

// ---- cylinders that are the same by symmetry

void PointSimulation::find_pattern() {
  result_.same_cylinders = result_.pattern_firings = 1;
  const auto symmetry = symmetry_of(engine_);
  if (!symmetry) return;
  const CylinderPattern pattern = pattern_of(*symmetry, result_.cylinders);
  result_.same_cylinders = static_cast<int>(symmetry->order());
  result_.pattern_firings = pattern.firings;
  result_.pattern_spread = pattern.spread;
  if (!result_.converged || pattern.firings == 1 || !settings_.second_pattern) return;
  // Copies are alike; what is not is so within what is computed.
  const auto own = parts_.copies > 1 ? symmetry_of(parts_.computed) : symmetry;
  if (!own) return;
  second_ = SecondRun{*own, {network_, angle_}, cycles_, {}};
  find_marks();
  start_figures(pattern_tolerance * settings_.tolerance);
}

void PointSimulation::keep_snapshot() {
  const double turns = from_ / second_->symmetry.turn;
  const auto kept = static_cast<double>(second_->snapshots.size());
  if (std::abs(turns - kept - 1) < 1e-9) second_->snapshots.push_back(network_);
}

void PointSimulation::keep_shifted() {
  for (Shifted& shifted : shifted_) {
    if (std::abs(from_ + shifted.shift - cycle_angle) < same_angle) shifted.network = network_;
  }
}

bool PointSimulation::second_pattern_is_done() {
  if (second_->stage == SecondRun::Stage::snapshots) {
    std::reverse(second_->snapshots.begin(), second_->snapshots.end());  // the newest first
    second_->snapshots.front() = network_;  // with the wall temperatures of the end of the cycle
    network_.make_alike(second_->symmetry, second_->snapshots);
    second_->snapshots.clear();
    second_->stage = SecondRun::Stage::alike;
    start_figures(pattern_tolerance * settings_.tolerance);
    return false;
  }
  const int period = figures_.cycles() >= least_pattern_cycles ? convergence_.period() : 0;
  if (period == 0 && figures_.cycles() < most_pattern_cycles) return false;
  judge_pattern(period);
  const bool both = second_->stage == SecondRun::Stage::alike &&
                    result_.second_pattern == static_cast<int>(SecondPattern::both_last);
  go_back_to_first();
  if (both) {  // whether the first one lasts is open as yet
    second_->stage = SecondRun::Stage::first_again;
    start_figures(pattern_tolerance * settings_.tolerance);
    return false;
  }
  second_.reset();
  find_marks();
  return true;
}

// period: 0 where the cycles did not settle.
void PointSimulation::judge_pattern(int period) {
  const auto means = figures_.means_over(std::max(1, period));
  const bool alike = pattern_of(second_->symmetry, means).firings == 1;
  auto outcome = static_cast<SecondPattern>(result_.second_pattern);
  if (second_->stage == SecondRun::Stage::alike) {
    result_.second_torque = static_cast<double>(parts_.copies) * figures_.torque_of(means);
    outcome = alike ? SecondPattern::both_last : SecondPattern::parts_again;
  } else if (alike) {
    outcome = SecondPattern::first_fades;
  }
  if (period == 0) outcome = SecondPattern::never_repeats;
  result_.second_pattern = static_cast<int>(outcome);
}

void PointSimulation::go_back_to_first() {
  network_ = second_->first.network;
  angle_ = second_->first.angle;
  cycles_ = second_->cycles;
}

std::optional<StepInterval> PointSimulation::begin_step(const std::function<bool()>& keep_going) {
  while (true) {
    switch (stage_) {
      case Stage::between_cycles: {
        const bool last = figures_.cycles() + 1 >= most_cycles_;
        begin_cycle(settings_.record && !second_ &&
                    (last || convergence_.residual() <= recording_margin * settings_.tolerance));
        stage_ = Stage::cycle;
        break;
      }
      case Stage::cycle:
        if (const auto step = step_of_cycle()) return step;
        end_cycle();
        if (keep_going && !keep_going()) throw RunStopped();
        if (second_) {
          stage_ = Stage::between_cycles;
          if (second_pattern_is_done()) stage_ = Stage::done;
          break;
        }
        stage_ = cycles_are_done() ? Stage::pulses : Stage::between_cycles;
        break;
      case Stage::pulses:
        if (figures_.pulses_moving() && angle_ < end_of_cycle_->angle + cycle_angle) {
          return interval(largest_step());
        }
        end_pulses();
        find_pattern();
        stage_ = second_ ? Stage::between_cycles : Stage::done;
        break;
      case Stage::done:
        return std::nullopt;
    }
  }
}

PointResult PointSimulation::run(const std::function<bool()>& keep_going) {
  TimeStepper stepper;
  stepper.assign(0, network_, this);
  try {
    start();
    while (const auto step = begin_step(keep_going)) step_alone(stepper, *step);
  } catch (const solver::Fault& f) {
    throw fault(f);
  }
  return result_;
}

RunFault PointSimulation::fault(const solver::Fault& fault) const {
  return run_fault(fault, engine_,
                   "crank angle " + short_number(fold(angle_)) + " deg of cycle " +
                       std::to_string(cycles_ + 1) + ", speed " + short_number(60.0 * speed_) +
                       " rpm");
}

}  // namespace pulsewright::models
