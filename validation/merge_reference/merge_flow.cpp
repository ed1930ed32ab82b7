#include "validation/merge_reference/merge_flow.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace pulsewright::validation {

namespace {

constexpr double between_samples = 2e-5;  // s

constexpr double in_radians(double degrees) { return degrees * std::numbers::pi / 180; }

// Unit vector along a tube, in the direction of flow, round the axis z at an angle from x.
Vector3 direction_of(double half_angle_deg, double clock_deg) {
  const double a = in_radians(half_angle_deg);
  const double clock = in_radians(clock_deg);
  return {-std::sin(a) * std::cos(clock), -std::sin(a) * std::sin(clock), std::cos(a)};
}

// z where the tubes just fit into the collector: its flat end.
double collector_from(const MergeGeometry& g) {
  if (g.cone) return g.cone->to;
  const double a = in_radians(g.half_angle_deg);
  return -0.5 * (g.collector_diameter - g.tube_diameter / std::cos(a)) / std::tan(a);
}

// The share of the cells that a station takes: a mean over a slab, weighted by a triangle.
struct Probe {
  struct Part {
    std::size_t cell;
    double weight;
  };
  std::vector<Part> parts;
  Vector3 direction{};
  double area = 0;  // m2
};

Probe probe_of(const FlowProblem& problem, const FlowStation& station, const CutCellGrid& grid) {
  const double reach = std::max(4e-3, grid.h);
  const RoundTube& tube = problem.region[station.tube];
  Probe probe{{}, tube.direction, std::numbers::pi * tube.radius_to * tube.radius_to};
  double sum = 0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const Vector3& x = grid.centroid[c];
    const double weight =
        grid.volume[c] * std::max(0.0, 1 - std::abs(tube.along(x) - station.s) / reach);
    if (weight <= 0 || tube.signed_distance(x) > 0.5 * grid.h) continue;
    probe.parts.push_back({c, weight});
    sum += weight;
  }
  if (sum <= 0) throw std::invalid_argument("station " + station.name + " is outside the gas");
  for (Probe::Part& part : probe.parts) part.weight /= sum;
  return probe;
}

void sample(const Probe& probe, const std::vector<State3>& states, MergeTrace& trace) {
  double p = 0;
  double flow = 0;
  for (const Probe::Part& part : probe.parts) {
    const State3& q = states[part.cell];
    p += part.weight * q[4];
    flow += part.weight * q[0] * dot({q[1], q[2], q[3]}, probe.direction);
  }
  trace.p.push_back(p);
  trace.mass_flow.push_back(flow * probe.area);
}

}  // namespace

FlowProblem merge_problem(const MergeCase& merge_case) {
  const MergeGeometry& g = merge_geometry(merge_case.geometry);
  const double s_m = g.z_m / std::cos(in_radians(g.half_angle_deg));
  const double radius = 0.5 * g.tube_diameter;
  const double collector_end = g.z_m + g.collector_length;
  FlowProblem problem;
  for (const MergeTube& tube : g.tubes) {
    if (tube.clock_deg > 180) continue;  // the image of another one
    problem.stations.push_back({tube.station, problem.region.size(), s_m - merge_tube_station});
    problem.region.push_back(
        {direction_of(g.half_angle_deg, tube.clock_deg), radius, radius, s_m - g.tube_length, 0});
  }
  const std::size_t collector = problem.region.size();
  const double collector_radius = 0.5 * g.collector_diameter;
  problem.region.push_back(
      {{0, 0, 1}, collector_radius, collector_radius, collector_from(g), collector_end});
  if (g.cone) {
    problem.region.push_back(
        {{0, 0, 1}, 0.5 * g.cone->diameter, collector_radius, g.cone->from, g.cone->to});
  }
  for (const double distance : merge_collector_stations) {
    const int mm = static_cast<int>(std::lround(1e3 * distance));
    problem.stations.push_back({"coll" + std::to_string(mm), collector, g.z_m + distance});
  }

  problem.pressure = [blocks = merge_case.blocks, region = problem.region,
                      stations = problem.stations, collector, collector_end](const Vector3& x) {
    double p = merge_gas_p;
    for (const MergeBlock& block : blocks) {
      std::size_t i = collector;
      for (const FlowStation& station : stations) {
        if (station.name == block.pipe) i = station.tube;
      }
      // Half a tube's radius beyond the wall: the centroid of a merged cell can lie outside.
      if (region[i].signed_distance(x) > 0.5 * region[i].radius_to) continue;
      const double s = i == collector ? collector_end - x[2] : region[i].along(x) - region[i].from;
      if (s < block.length) p = block_pressure(block, s);
    }
    return p;
  };
  return problem;
}

FlowProblem straight_tube_problem(double angle_deg, double pressure) {
  constexpr double radius = 0.021;
  constexpr double from = -0.6;
  constexpr double block = 0.25;
  FlowProblem problem;
  const RoundTube tube{direction_of(angle_deg, 0), radius, radius, from, 0.8};
  problem.region = {tube};
  problem.stations = {{"m150", 0, -0.15}, {"p200", 0, 0.2}, {"p400", 0, 0.4}};
  problem.pressure = [=](const Vector3& x) {
    return tube.along(x) - from < block ? pressure : merge_gas_p;
  };
  return problem;
}

FlowRun run_flow(const FlowProblem& problem, double h, double duration, unsigned threads,
                 Reconstruction reconstruction, const std::function<void(double)>& watch) {
  const CutCellGrid grid = make_cut_cell_grid(problem.region, h, threads);
  Euler3 euler(grid, merge_gas_gamma, merge_gas_p, threads, reconstruction, [&](const Vector3& x) {
    const double p = problem.pressure(x);
    return State3{merge_gas_density(p), 0, 0, 0, p};
  });
  FlowRun run;
  run.cells = grid.cells();
  run.volume = grid.total_volume();
  std::vector<Probe> probes;
  for (const FlowStation& station : problem.stations) {
    probes.push_back(probe_of(problem, station, grid));
    run.traces.stations.push_back({station.name, {}, {}});
  }
  const double mass = euler.total_mass();
  const double energy = euler.total_energy();
  const auto samples = static_cast<int>(std::lround(duration / between_samples));
  for (int k = 0; k <= samples; ++k) {
    const double t = k * between_samples;
    for (double left = k == 0 ? 0 : between_samples; left > 0; ++run.steps) {
      const double dt = euler.step(left);
      left = dt < left ? left - dt : 0;
    }
    run.traces.t.push_back(t);
    for (std::size_t i = 0; i < probes.size(); ++i) {
      sample(probes[i], euler.states(), run.traces.stations[i]);
    }
    if (watch) watch(t);
  }
  run.mass_drift = euler.total_mass() / mass - 1;
  run.energy_drift = euler.total_energy() / energy - 1;
  return run;
}

}  // namespace pulsewright::validation
