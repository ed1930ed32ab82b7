// Probes: what they read against exact solutions, conservation between two of them, and their
// records in runs of pipes and of engines.
#include "models/network/probe.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>

#include "models/engine/pipe_simulation.hpp"
#include "models/engine/point_simulation.hpp"
#include "models/figures/figure_table.hpp"
#include "solver/riemann/exact.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"
#include "validation/rig/textbook_air.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

EngineSpecification closed_pipe(double length, double diameter, double cell_size) {
  EngineSpecification e;
  e.ambient = {p_atm, T_atm};
  e.pipes = {smooth_pipe("tube", length, diameter, cell_size)};
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}};
  return e;
}

// The first time at which the readings pass a level, s.
double crossing(const std::vector<double>& t, const std::vector<double>& p, double level) {
  for (std::size_t i = 1; i < p.size(); ++i) {
    if (p[i] < level) continue;
    return t[i - 1] + (t[i] - t[i - 1]) * (level - p[i - 1]) / (p[i] - p[i - 1]);
  }
  return -1;
}

}  // namespace

TEST_CASE("a shock passes a probe at the time and with the state of the exact solution") {
  constexpr double dx = 2e-3;
  constexpr double start = 0.8;  // m, of the jump
  constexpr double place = 1.3;  // m
  const auto gas = constant_gamma_gas(g, R);
  PipeRig rig(closed_pipe(2, 0.04, dx), gas);
  const double rho = p_atm / (R * T_atm);
  rig.network().pipe_set().pipes()[0].fill(gas, [&](double x) {
    const double ratio = x < start ? 3.0 : 1.0;
    return solver::Primitive<double>{ratio * rho, 0, ratio * p_atm, 0};
  });
  // Toro (2009), chapter 4.
  const solver::RiemannState left{3 * rho, 0, 3 * p_atm, g};
  const solver::RiemannState right{rho, 0, p_atm, g};
  const auto exact = solver::riemann_exact(left, right);
  std::vector<double> t;
  std::vector<double> p;
  rig.run_until((place - start) / exact.right_head + 0.15e-3, [&] {
    t.push_back(rig.time());
    p.push_back(probe_state(rig.pipe(0), place).pressure);
  });
  // Half the jump, within the time the shock takes through a cell.
  const double arrival = crossing(t, p, 0.5 * (p_atm + exact.p_star));
  CHECK(near(arrival, (place - start) / exact.right_head, 0, dx / exact.right_head));
  const ProbeState behind = probe_state(rig.pipe(0), place);
  const double T = exact.p_star / (R * exact.rho_star_right);
  // The plateau behind a captured shock: 0.1 % of the jump, far from the contact and the start.
  CHECK(near(behind.pressure, exact.p_star, 0, 1e-3 * (exact.p_star - p_atm)));
  CHECK(near(behind.velocity, exact.u_star, 2e-3));
  CHECK(near(behind.temperature, T, 1e-3));
  CHECK(near(behind.mass_flow,
             exact.rho_star_right * exact.u_star * 0.25 * std::numbers::pi * 0.04 * 0.04, 2e-3));
}

TEST_CASE("a small pulse passes two probes at the speed of sound, with the impedance of the gas") {
  const auto gas = constant_gamma_gas(g, R);
  EngineSpecification e;
  e.ambient = {p_atm, T_atm};
  e.pipes = {smooth_pipe("tube", 3, 0.04, 5e-3)};
  e.anechoic_ends = {{{0, Side::right}}};
  PipeRig rig(with_wave(e, {0, Side::left}, pulse(p_atm, 20, 2e-3)), gas);
  const double c = std::sqrt(g * R * T_atm);
  std::vector<double> t;
  std::vector<double> first;
  std::vector<double> second;
  double largest_difference = 0;
  rig.run_until(8e-3, [&] {
    const ProbeState at = probe_state(rig.pipe(0), 0.5);
    t.push_back(rig.time());
    first.push_back(at.pressure - p_atm);
    second.push_back(probe_state(rig.pipe(0), 2.0).pressure - p_atm);
    // p' = rho c u of a wave in one direction: Munjal (1987), chapter 1.
    const double impedance = p_atm / (R * T_atm) * c;
    largest_difference =
        std::max(largest_difference, std::abs(first.back() - impedance * at.velocity));
  });
  CHECK(near(*std::max_element(first.begin(), first.end()), 10, 0.01));
  CHECK(largest_difference < 0.01);  // 0.1 % of the pulse
  const double delay = crossing(t, second, 5) - crossing(t, first, 5);
  CHECK(near(delay, 1.5 / c, 1e-3));
}

TEST_CASE("between two probes the content changes by what flows past them") {
  const auto gas = constant_gamma_gas(g, R);
  EngineSpecification e = closed_pipe(1, 0.04, 5e-3);
  e.pipes[0].profile = {{0, 0.03}, {1, 0.06}};  // a cone: the area counts
  PipeRig rig(e, gas);
  rig.network().pipe_set().pipes()[0].fill(gas, [&](double x) {
    const double p = p_atm * (1 + 0.3 * std::exp(-std::pow((x - 0.15) / 0.05, 2)));
    return solver::Primitive<double>{p / (R * T_atm), 0, p, 0};
  });
  // The probes at centres of cells, and half of those two cells belongs to the content between.
  constexpr std::size_t from = 60;
  constexpr std::size_t to = 140;
  const auto content = [&] {
    const solver::Pipe& pipe = rig.pipe(0);
    double mass = 0;
    for (std::size_t i = from; i <= to; ++i) {
      const auto k = static_cast<std::ptrdiff_t>(i);
      mass += (i == from || i == to ? 0.5 : 1.0) * pipe.rho[k] * pipe.volume[k];
    }
    return mass;
  };
  const double before = content();
  double flowed = 0;
  double past_one = 0;
  double rate = 0;
  double time = 0;
  rig.run_until(0.8e-3, [&] {
    const double in = probe_state(rig.pipe(0), rig.pipe(0).centre(from)).mass_flow;
    const double out = probe_state(rig.pipe(0), rig.pipe(0).centre(to)).mass_flow;
    const double dt = rig.time() - time;
    flowed += 0.5 * (rate + in - out) * dt;
    past_one += std::abs(in) * dt;
    rate = in - out;
    time = rig.time();
  });
  // Of what passed: second order of grid and step, a pulse of about twenty cells.
  CHECK(past_one > 1e-6);
  CHECK(near(content() - before, flowed, 0, 5e-3 * past_one));
  CHECK(std::abs(content() - before) > 0.05 * past_one);
}

TEST_CASE("within half a cell of an end a probe reads the last cell") {
  const auto gas = constant_gamma_gas(g, R);
  PipeRig rig(closed_pipe(1, 0.04, 0.1), gas);
  rig.network().pipe_set().pipes()[0].fill(gas, [&](double x) {
    return solver::Primitive<double>{1 + x, 10, p_atm * (1 + x), 0};
  });
  CHECK(probe_state(rig.pipe(0), 0).pressure == rig.pipe(0).p[0]);
  CHECK(probe_state(rig.pipe(0), 1).pressure == rig.pipe(0).p[9]);
  CHECK(near(probe_state(rig.pipe(0), 0.5).pressure, 1.5 * p_atm, 1e-12));
  CHECK(near(probe_state(rig.pipe(0), 0.5).velocity, 10, 1e-12));
}

TEST_CASE("a run of pipes records its probes from the beginning to the end of every step") {
  EngineSpecification e = closed_pipe(1, 0.04, 0.02);
  e.pipes.push_back(smooth_pipe("driver", 0.5, 0.04, 0.02));
  e.pipes[1].initial_pressure = 2e5;
  e.closed_ends = {{{1, Side::left}}, {{0, Side::right}}};
  JunctionSpecification diaphragm;
  diaphragm.name = "diaphragm";
  diaphragm.branches = {{{1, Side::right}, -Eigen::Vector3d::UnitX()},
                        {{0, Side::left}, Eigen::Vector3d::UnitX()}};
  e.junctions = {diaphragm};
  CHECK(simulate_pipes(e, 1e-3, {}).probes.empty());
  e.probes = {{"near", 0, 0.21}, {"far", 0, 0.9}};
  const auto result = simulate_pipes(e, 1e-3, {});
  REQUIRE(result.probes.size() == 2);
  CHECK(result.probes[1].name == "far");
  REQUIRE(result.probe_time.size() == static_cast<std::size_t>(result.steps) + 1);
  CHECK(result.probe_time.front() == 0);
  CHECK(near(result.probe_time.back(), 1e-3, 1e-9));
  for (const ProbeTraces& probe : result.probes) {
    for_each_probe_trace([&](const auto& trace) {
      CHECK((probe.*trace.member).size() == result.probe_time.size());
    });
    CHECK(near(probe.pressure.front(), p_atm, 1e-6));
  }
  // The last values are those of the gas at the end: 0.21 m is the centre of cell 10.
  CHECK(near(result.probes[0].pressure.back(), result.pipes[0].pressure[10], 1e-6));
  CHECK(near(result.probes[0].velocity.back(), result.pipes[0].velocity[10], 1e-6, 1e-6));
  CHECK(near(result.probes[0].temperature.back(), result.pipes[0].temperature[10], 1e-6));
  const double area = 0.25 * std::numbers::pi * 0.04 * 0.04;
  CHECK(near(result.probes[0].mass_flow.back(),
             result.pipes[0].density[10] * result.pipes[0].velocity[10] * area, 1e-6, 1e-9));
}

TEST_CASE("an engine records its probes over a cycle, what passes is what it breathes") {
  EngineSpecification e = single_cylinder(0.7, 0.02);
  e.probes = {{"in the primary", 1, 0.35}, {"in the runner", 0, 0.1}};
  RunSettings settings;
  PointSimulation run(e, 100, settings);
  const PointResult r = run.run();
  REQUIRE(r.converged);
  REQUIRE(r.probes.size() == 2);
  const auto mean = [](const std::vector<float>& trace) {
    return std::accumulate(trace.begin(), trace.end(), 0.0) / static_cast<double>(trace.size());
  };
  const double cycle = 2.0 / 100;  // s
  REQUIRE(r.probes[0].mass_flow.size() == static_cast<std::size_t>(settings.trace_points));
  // The ledger's content of pipes changes little in a converged cycle.
  CHECK(near(cycle * mean(r.probes[0].mass_flow), r.ledger.mass.out, 5e-3));
  CHECK(near(cycle * mean(r.probes[1].mass_flow), r.ledger.mass.in, 5e-3));
  // Blowdown arrives later at the probe than at the valve: 0.35 m at 600 to 800 m/s (common
  // practice, no source) are 16 to 21 degrees, or points of the trace. Its front: 1.4 bar.
  const auto front = [](const std::vector<float>& p) {
    return std::find_if(p.begin() + 102, p.end(), [](float x) { return x > 1.4e5F; }) - p.begin();
  };
  const auto later = front(r.probes[0].pressure) - front(r.traces[0].exhaust_pressure);
  CHECK(later >= 12);
  CHECK(later <= 25);
  RunSettings quiet;
  quiet.store_traces = false;
  PointSimulation without(e, 100, quiet);
  CHECK(without.run().probes.empty());
}

}  // namespace pulsewright::tests
