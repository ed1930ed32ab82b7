#include "models/figures/cycle_record.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "models/boundary/crank_angle.hpp"
#include "models/figures/figure_table.hpp"

namespace pulsewright::models {

SplitWave split_wave(double p, double u, double c, double gamma, double p_0) {
  const double z = 0.5 * (gamma - 1.0) / gamma;
  const double X = std::pow(p / p_0, z);
  const double difference = 0.5 * (gamma - 1.0) * u * X / c;
  const auto pressure = [&](double part) { return p_0 * (std::pow(part, 1.0 / z) - 1.0); };
  return {pressure(0.5 * (X + 1.0 + difference)), pressure(0.5 * (X + 1.0 - difference))};
}

WaveDiagram wave_axes(const EngineSpecification& engine, int cylinder, int rows) {
  WaveDiagram wave;
  const auto& path = engine.exhaust_paths.at(static_cast<std::size_t>(cylinder));
  wave.cylinder = engine.cylinders[static_cast<std::size_t>(path.cylinder)].number;
  double start = 0;
  for (const int index : path.pipes) {
    const PipeSpecification& pipe = engine.pipes[static_cast<std::size_t>(index)];
    wave.pipe_start.push_back(start);
    wave.pipe_name.push_back(pipe.name);
    for (const double x : cell_centres(pipe)) wave.distance.push_back(start + x);
    start += pipe.length;
  }
  wave.angle = even_angles(static_cast<std::size_t>(rows));
  return wave;
}

std::vector<std::size_t> tail_ends(const EngineSpecification& engine) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < engine.open_ends.size(); ++i) {
    for (const auto& path : engine.exhaust_paths) {
      if (!path.pipes.empty() && path.pipes.back() == engine.open_ends[i].end.pipe) {
        found.push_back(i);
        break;
      }
    }
  }
  return found;
}

namespace {

// To which side the pipe widens at the centre of each cell: 1 right, -1 left, 0 neither.
std::vector<int> widening_of(const PipeSpecification& pipe) {
  std::vector<int> widens;
  for (const double x : cell_centres(pipe)) {
    int side = 0;
    for (std::size_t s = 1; s < pipe.profile.size(); ++s) {
      const ProfilePoint& a = pipe.profile[s - 1];
      const ProfilePoint& b = pipe.profile[s];
      if (x < a.x || x >= b.x) continue;
      side = (b.diameter > a.diameter ? 1 : 0) - (b.diameter < a.diameter ? 1 : 0);
    }
    widens.push_back(side);
  }
  return widens;
}

// The loss coefficient of a cone is that of steady incompressible flow. The compressible loss of a
// sudden enlargement to twice the area is larger: by 7 % at Mach 0.3, 19 % at 0.5, 40 % at 0.7, 90
// % at 1 (mass, momentum and energy over the step: Benedict, Carlucci & Swetz, J. Eng. Power 88
// (1966) 73).
constexpr double fast_cone_mach = 0.5;

}  // namespace

CycleRecord::CycleRecord(const EngineSpecification& engine, const RunSettings& settings)
    : settings_(settings), ambient_(engine.ambient.pressure) {
  for (const auto& pipe : engine.pipes) {
    pipes_.emplace_back().name = pipe.name;
    widens_.push_back(widening_of(pipe));
  }
  std::set<std::size_t> exhaust;
  for (const auto& path : engine.exhaust_paths)
    exhaust.insert(path.pipes.begin(), path.pipes.end());
  exhaust_.assign(exhaust.begin(), exhaust.end());
  if (settings.store_traces) start_traces(engine);
  if (!settings.store_wave_diagram || engine.exhaust_paths.empty()) return;
  path_ = engine.exhaust_paths.at(static_cast<std::size_t>(settings.wave_cylinder)).pipes;
  wave_ = wave_axes(engine, settings.wave_cylinder, settings.wave_angles);
  wave_.pressure.assign(wave_.angle.size() * wave_.distance.size(), 0.0F);
  wave_.velocity = wave_.pressure;
}

void CycleRecord::start_traces(const EngineSpecification& engine) {
  const auto n = static_cast<std::size_t>(settings_.trace_points);
  traces_.resize(engine.cylinders.size());
  for (auto& traces : traces_) {
    for_each_member(traces, [&](std::vector<float>& trace) { trace.assign(n, 0.0F); });
  }
  last_.resize(engine.cylinders.size());
  tail_ends_ = tail_ends(engine);
  for (const std::size_t i : tail_ends_) {
    const auto pipe = static_cast<std::size_t>(engine.open_ends[i].end.pipe);
    TailTrace& tail = tails_.emplace_back();
    tail.name = engine.pipes[pipe].name;
    for_each_tail_trace([&](const auto& trace) { (tail.*trace.member).assign(n, 0.0F); });
  }
  tail_samples_.resize(tails_.size());
  probe_places_ = engine.probes;
  probe_states_.resize(probe_places_.size());
  for (const ProbeSpecification& place : probe_places_) {
    ProbeTraces& traces = probes_.emplace_back();
    traces.name = place.name;
    for_each_probe_trace([&](const auto& trace) { (traces.*trace.member).assign(n, 0.0F); });
  }
}

void CycleRecord::add(std::size_t i, const CylinderStep& s, const solver::Pipe& pipe,
                      const solver::Gas& gas) {
  if (traces_.empty()) return;
  Sample now;
  const double T = pipe.T[0];
  const double Y = pipe.Y[0];
  const SplitWave split =
      split_wave(pipe.p[0], pipe.u[0], gas.sound_speed(T, Y), gas.gamma(T, Y), ambient_);
  now.exhaust_pressure = s.exhaust_pressure;
  now.exhaust_outgoing = split.outgoing;
  now.exhaust_returning = split.returning;
  now.exhaust_temperature = T;
  now.exhaust_mass_flow = s.exhaust_mass;
  now.intake_pressure = s.intake_pressure;
  now.intake_mass_flow = s.intake_mass;
  const Sample& last = last_[i];
  now.after = s.cylinder_pressure;
  now.cylinder_pressure = last.valid ? 0.5 * (last.after + now.after) : now.after;
  now.middle = s.angle + 0.5 * s.d_angle;
  now.valid = true;
  Sample before = last;
  if (!before.valid) {  // the first step of the record serves as its own first half
    before = now;
    before.middle = s.angle - 1e-9;
  }
  last_[i] = now;
  before.middle = fold_from(before.middle, now.middle - cycle_angle);
  const double grid = cycle_angle / settings_.trace_points;
  // Grid angles in (middle of the step before, middle of this step].
  const auto first = static_cast<long>(std::floor(before.middle / grid)) + 1;
  const auto end = static_cast<long>(std::floor(now.middle / grid));
  CylinderTraces& t = traces_[i];
  for (long k = first; k <= end; ++k) {
    const double weight =
        (static_cast<double>(k) * grid - before.middle) / (now.middle - before.middle);
    const long points = settings_.trace_points;
    const auto at = static_cast<std::size_t>((k % points + points) % points);
#define CYLINDER_TRACE(member, unit, text) \
  t.member[at] = static_cast<float>((1.0 - weight) * before.member + weight * now.member);
#include "models/figures/figure_table.inc"
  }
}

// The flow of a step is its mean and holds at its middle; linear in crank angle between the middles
// of two steps. Before the first middle of the cycle and behind its last one it is that of the
// step.
void CycleRecord::add_tails(double before, double after, const Network& network) {
  const double middle = 0.5 * (before + after);
  for (std::size_t i = 0; i < tails_.size(); ++i) {
    const OpenEnd& end = network.open_ends()[tail_ends_[i]];
#define TAIL_TRACE(member, unit, text) tail_samples_[i].member = end.member();
#include "models/figures/figure_table.inc"
  }
  const bool first = last_tail_samples_.empty();
  if (first) last_tail_samples_ = tail_samples_;
  const double from = first ? before : last_middle_;
  const double grid = cycle_angle / settings_.trace_points;
  const auto begin = first ? static_cast<long>(std::ceil(from / grid))
                           : static_cast<long>(std::floor(from / grid)) + 1;
  for (long k = begin; k < settings_.trace_points; ++k) {
    const double angle = static_cast<double>(k) * grid;
    // The last half step of the cycle has none behind it; the cycle ends within round-off.
    if (angle > middle && after < cycle_angle - 1e-6) break;
    const double weight = std::min(1.0, (angle - from) / (middle - from));
    for (std::size_t i = 0; i < tails_.size(); ++i) {
#define TAIL_TRACE(member, unit, text)                                \
  tails_[i].member[static_cast<std::size_t>(k)] = static_cast<float>( \
      (1.0 - weight) * last_tail_samples_[i].member + weight * tail_samples_[i].member);
#include "models/figures/figure_table.inc"
    }
  }
  last_tail_samples_ = tail_samples_;
  last_middle_ = middle;
}

// Linear in crank angle between the ends of two steps.
void CycleRecord::add_probes(double before, double after, const Network& network) {
  for (std::size_t i = 0; i < probe_places_.size(); ++i) {
    const ProbeSpecification& place = probe_places_[i];
    probe_states_[i] =
        probe_state(network.pipes()[static_cast<std::size_t>(place.pipe)], place.distance);
  }
  if (before_probes_.empty()) before_probes_ = probe_states_;
  const double grid = cycle_angle / settings_.trace_points;
  for (auto k = static_cast<long>(std::floor(before / grid)) + 1;
       static_cast<double>(k) * grid <= after; ++k) {
    const auto at = static_cast<std::size_t>(k % settings_.trace_points);
    const double weight = (static_cast<double>(k) * grid - before) / (after - before);
    for (std::size_t i = 0; i < probe_states_.size(); ++i) {
#define PROBE_TRACE(member, unit, text)                                                  \
  probes_[i].member[at] = static_cast<float>((1.0 - weight) * before_probes_[i].member + \
                                             weight * probe_states_[i].member);
#include "models/figures/figure_table.inc"
    }
  }
  before_probes_.swap(probe_states_);
}

void CycleRecord::add_network(double before, double after, const Network& network) {
  if (!tails_.empty()) add_tails(before, after, network);
  if (!probes_.empty()) add_probes(before, after, network);
  const double row_grid = cycle_angle / settings_.wave_angles;
  const auto first = static_cast<long>(std::floor(before / row_grid)) + 1;
  const auto last = static_cast<long>(std::floor(after / row_grid));
  if (last < first) return;
  const auto& pipes = network.pipes();
  ++samples_;
  const double span = static_cast<double>(last - first + 1) * row_grid;
  for (std::size_t i = 0; i < pipes.size(); ++i) add_pipe(i, after, span, pipes[i]);
  if (path_.empty()) return;
  for (long r = first; r <= last; ++r) {
    const auto row = static_cast<std::size_t>(r % settings_.wave_angles);
    std::size_t column = row * wave_.distance.size();
    for (const int index : path_) {
      const solver::Pipe& pipe = pipes[static_cast<std::size_t>(index)];
      for (std::size_t c = 0; c < pipe.cells(); ++c, ++column) {
        const auto k = static_cast<std::ptrdiff_t>(c);
        wave_.pressure[column] = static_cast<float>(pipe.p[k]);
        wave_.velocity[column] = static_cast<float>(pipe.u[k]);
      }
    }
  }
}

void CycleRecord::add_pipe(std::size_t i, double angle, double span, const solver::Pipe& pipe) {
  PipeFigures& f = pipes_[i];
  double T = 0;
  bool fast_cone = false;
  for (std::size_t c = 0; c < pipe.cells(); ++c) {
    const auto k = static_cast<std::ptrdiff_t>(c);
    T += pipe.T[k];
    // c^2 = gamma p / rho
    const double mach_squared =
        pipe.u[k] * pipe.u[k] * pipe.rho[k] / ((1.0 + pipe.gamma_less_1[k]) * pipe.p[k]);
    fast_cone = fast_cone ||
                (widens_[i][c] * pipe.u[k] > 0 && mach_squared > fast_cone_mach * fast_cone_mach);
    if (mach_squared <= f.peak_mach * f.peak_mach) continue;
    f.peak_mach = std::sqrt(mach_squared);
    f.peak_mach_distance = pipe.centre(c);
    f.peak_mach_angle = angle;
  }
  f.gas_temperature += T / static_cast<double>(pipe.cells());
  f.wall_temperature = PipeWall::mean_temperature(pipe);
  if (fast_cone) f.fast_cone_angle += span;
}

void CycleRecord::finish(PointResult& result) const {
  result.traces = traces_;
  result.tails = tails_;
  result.probes = probes_;
  result.wave = wave_;
  result.pipes = pipes_;
  for (auto& pipe : result.pipes)
    pipe.gas_temperature /= static_cast<double>(std::max(1L, samples_));
  for (const std::size_t i : exhaust_) {
    if (pipes_[i].peak_mach <= result.exhaust_peak_mach) continue;
    result.exhaust_peak_mach = pipes_[i].peak_mach;
    result.exhaust_peak_mach_pipe = static_cast<int>(i);
  }
}

}  // namespace pulsewright::models
