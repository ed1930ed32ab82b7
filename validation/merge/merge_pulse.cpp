#include "validation/merge/merge_pulse.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "cases/network_builder.hpp"
#include "models/boundary/merge_place.hpp"
#include "models/figures/cycle_record.hpp"
#include "models/network/probe.hpp"
#include "models/sizing/circle.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::Side;

namespace {

constexpr double rho_rest = merge_gas_p / (merge_gas_R * merge_gas_T);

double density_at(double p) { return merge_gas_density(p); }
double sound_speed_at(double p) { return std::sqrt(merge_gas_gamma * p / density_at(p)); }

std::vector<models::ProfilePoint> collector_profile(const MergeGeometry& geometry, double plane) {
  const double end = geometry.z_m + geometry.collector_length - plane;
  const double D = geometry.collector_diameter;
  if (!geometry.cone) return {{0, D}, {end, D}};
  const MergeCone& cone = *geometry.cone;
  // Before the plate the walls of the cone do not go on.
  const double taper = (D - cone.diameter) / (cone.to - cone.from);
  const double within = std::max(0.0, plane - cone.from);
  return {{0, cone.diameter + taper * within}, {cone.to - plane, D}, {end, D}};
}

// Distance of a station from the closed end of its pipe, m.
double distance_from_end(const MergeGeometry& geometry, const std::string& station) {
  if (station == "coll200") return geometry.collector_length - merge_collector_stations[0];
  if (station == "coll400") return geometry.collector_length - merge_collector_stations[1];
  return geometry.tube_length - merge_tube_station;
}

bool in_collector(const std::string& station) { return station.starts_with("coll"); }

// The pipes that a station or the pipe of a block stands for: a tube and its mirror image.
std::vector<std::size_t> pipes_of(const MergeGeometry& geometry, const std::string& name) {
  if (in_collector(name)) return {geometry.tubes.size()};
  std::vector<std::size_t> pipes;
  for (std::size_t i = 0; i < geometry.tubes.size(); ++i) {
    if (geometry.tubes[i].station == name) pipes.push_back(i);
  }
  if (pipes.empty()) {
    throw std::invalid_argument("no tube '" + name + "' in geometry " + geometry.name);
  }
  return pipes;
}

// Fills the outer part of its pipes; the cell at its edge has the mean of both sides.
void fill_block(const MergeGeometry& geometry, const MergeBlock& block, PipeRig& rig) {
  for (const std::size_t i : pipes_of(geometry, block.pipe)) {
    solver::Pipe& pipe = rig.network().pipe_set().pipes()[i];
    pipe.fill(rig.network().gas(), [&](double x) {
      const double s = in_collector(block.pipe) ? pipe.length() - x : x;
      const double share = std::clamp((block.length - s) / pipe.dx() + 0.5, 0.0, 1.0);
      const double p = block_pressure(block, std::min(s, block.length));
      return solver::Primitive<double>{share * density_at(p) + (1 - share) * rho_rest, 0,
                                       share * p + (1 - share) * merge_gas_p, 0};
    });
  }
}

double area_at(const MergeGeometry& geometry, const std::string& station) {
  return models::circle_area(in_collector(station) ? geometry.collector_diameter
                                                   : geometry.tube_diameter);
}

// The part of a pressure that travels away from the merge, Pa above the gas at rest. Density of the
// entropy of the gas at rest.
double away(double p, double mass_flow, double area, bool collector) {
  const double u = mass_flow / (density_at(p) * area);
  const auto split = models::split_wave(p, u, sound_speed_at(p), merge_gas_gamma, merge_gas_p);
  return collector ? split.outgoing : split.returning;
}

std::vector<double> waves_away(const MergeGeometry& geometry, const MergeTrace& trace) {
  std::vector<double> waves;
  for (std::size_t k = 0; k < trace.p.size(); ++k) {
    waves.push_back(away(trace.p[k], trace.mass_flow[k], area_at(geometry, trace.station),
                         in_collector(trace.station)));
  }
  return waves;
}

// Number of times before the echo of the closed end. The gas in a block is not at rest pressure, so
// the first moments do not count.
std::size_t window(const MergeGeometry& geometry, const MergeTraces& reference,
                   const std::vector<double>& waves_away, const std::string& station,
                   double driving) {
  const double way = 2 * distance_from_end(geometry, station) / sound_speed_at(merge_gas_p);
  for (std::size_t k = 2; k < waves_away.size(); ++k) {
    if (std::abs(waves_away[k]) < 0.01 * driving) continue;
    const double end = reference.t[k] + 0.97 * way;
    return static_cast<std::size_t>(std::upper_bound(reference.t.begin(), reference.t.end(), end) -
                                    reference.t.begin());
  }
  return waves_away.size();
}

// Time of the first crossing of a level, s.
double crossing(const std::vector<double>& t, const std::vector<double>& wave, double level,
                double sign) {
  for (std::size_t k = 1; k < wave.size(); ++k) {
    const double before = sign * wave[k - 1];
    const double now = sign * wave[k];
    if (now < sign * level) continue;
    if (before >= sign * level) return t[k - 1];
    return t[k - 1] + (t[k] - t[k - 1]) * (sign * level - before) / (now - before);
  }
  return t.back();
}

WaveFigures figures_of(const std::vector<double>& t, std::vector<double> wave, std::size_t count) {
  wave.resize(count);
  WaveFigures f;
  for (std::size_t k = 2; k < count; ++k) {
    if (std::abs(wave[k]) > std::abs(f.peak)) f.peak = wave[k];
    f.impulse += 0.5 * (wave[k] + wave[k - 1]) * (t[k] - t[k - 1]);
  }
  const double sign = f.peak < 0 ? -1 : 1;
  f.arrival = crossing(t, wave, 0.5 * f.peak, sign);
  f.rise = crossing(t, wave, 0.9 * f.peak, sign) - crossing(t, wave, 0.1 * f.peak, sign);
  return f;
}

}  // namespace

double merge_plane(const MergeGeometry& geometry, models::JunctionLaw law) {
  return geometry.z_crotch + models::merge_behind_crotch(geometry.tube_diameter, law);
}

models::EngineSpecification merge_network(const MergeGeometry& geometry, const MergeModel& model) {
  const double plane = model.plane.value_or(merge_plane(geometry, model.law));
  const double slope = std::cos(geometry.half_angle_deg * std::numbers::pi / 180);
  const double tube_length = geometry.tube_length + (plane - geometry.z_m) / slope;
  models::EngineSpecification e;
  e.ambient = {merge_gas_p, merge_gas_T};
  models::JunctionSpecification merge;
  merge.name = "merge";
  merge.law = model.law;
  merge.volume = model.volume;
  for (const MergeTube& tube : geometry.tubes) {
    const int pipe = static_cast<int>(e.pipes.size());
    e.pipes.push_back(
        smooth_pipe(tube.station, tube_length, geometry.tube_diameter, model.cell_size));
    e.closed_ends.push_back({{pipe, Side::left}});
    merge.branches.push_back(
        {{pipe, Side::right}, cases::incoming_direction(geometry.half_angle_deg, tube.clock_deg)});
  }
  const int collector = static_cast<int>(e.pipes.size());
  const auto profile = collector_profile(geometry, plane);
  e.pipes.push_back(smooth_pipe("collector", profile.back().x, 1, model.cell_size));
  e.pipes.back().profile = profile;
  e.closed_ends.push_back({{collector, Side::right}});
  merge.branches.push_back({{collector, Side::left}, Eigen::Vector3d::UnitX()});
  e.junctions = {merge};
  return e;
}

MergeTraces merge_pulse(const MergeCase& merge_case, const MergeModel& model,
                        const MergeTraces& reference) {
  const MergeGeometry& geometry = merge_geometry(merge_case.geometry);
  PipeRig rig(merge_network(geometry, model), constant_gamma_gas(merge_gas_gamma, merge_gas_R));
  for (const MergeBlock& block : merge_case.blocks) fill_block(geometry, block, rig);
  MergeTraces traces;
  traces.t = reference.t;
  for (const MergeTrace& trace : reference.stations) {
    traces.stations.push_back({trace.station, {}, {}});
  }
  for (const double t : traces.t) {
    rig.run_until(t);
    for (MergeTrace& trace : traces.stations) {
      const solver::Pipe& pipe = rig.pipe(pipes_of(geometry, trace.station).front());
      const double from_end = distance_from_end(geometry, trace.station);
      const auto state = models::probe_state(
          pipe, in_collector(trace.station) ? pipe.length() - from_end : from_end);
      trace.p.push_back(state.pressure);
      trace.mass_flow.push_back(state.mass_flow);
    }
  }
  return traces;
}

double driving_wave(const MergeCase& merge_case) {
  const double X = wave_amplitude(merge_case.blocks.back().pressure / merge_gas_p, merge_gas_gamma);
  return std::abs(wave_pressure_ratio(0.5 * (1 + X), merge_gas_gamma) - 1) * merge_gas_p;
}

std::vector<StationComparison> compare_stations(const MergeCase& merge_case,
                                                const MergeTraces& reference,
                                                const MergeTraces& computed) {
  const MergeGeometry& geometry = merge_geometry(merge_case.geometry);
  const double driving = driving_wave(merge_case);
  std::vector<StationComparison> all;
  for (std::size_t s = 0; s < reference.stations.size(); ++s) {
    const MergeTrace& theirs = reference.stations[s];
    const MergeTrace& ours = computed.stations.at(s);
    const auto waves = waves_away(geometry, theirs);
    const std::size_t count = window(geometry, reference, waves, theirs.station, driving);
    StationComparison c;
    c.station = theirs.station;
    double squares = 0;
    for (std::size_t k = 0; k < count; ++k) squares += std::pow(ours.p[k] - theirs.p[k], 2);
    c.rms = std::sqrt(squares / static_cast<double>(count)) / driving;
    const bool driven = std::any_of(
        merge_case.blocks.begin(), merge_case.blocks.end(), [&](const MergeBlock& block) {
          return pipes_of(geometry, block.pipe) == pipes_of(geometry, theirs.station);
        });
    const auto wave = [&](const MergeTrace& trace) {
      if (driven) return waves_away(geometry, trace);
      std::vector<double> gauge;
      for (const double p : trace.p) gauge.push_back(p - merge_gas_p);
      return gauge;
    };
    c.reference = figures_of(reference.t, wave(theirs), count);
    c.computed = figures_of(reference.t, wave(ours), count);
    all.push_back(c);
  }
  return all;
}

}  // namespace pulsewright::validation
