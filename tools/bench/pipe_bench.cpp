// The step of a pipe, ends aside.
#include <cmath>

#include "models/pipe_wall.hpp"
#include "solver/duct_lanes.hpp"
#include "solver/duct_update.hpp"
#include "solver/thermodynamics.hpp"
#include "tools/bench/bench.hpp"
#include "tools/bench/yardstick.hpp"

namespace pulsewright::bench {

namespace {

using Update = solver::DuctUpdate<solver::FluxHllc, solver::LimiterMonotonizedCentral>;

void yardstick(benchmark::State& state) {
  constexpr std::size_t cells = 80;
  YardstickPipe pipe(cells);
  double updates = 0;
  for (auto _ : state) {
    step_yardstick(pipe, 1e-6);  // so short a step that the gas stays as it is
    benchmark::DoNotOptimize(pipe.rho.data());
    updates += cells;
  }
  count_cells(state, updates);
}
BENCHMARK(yardstick);

solver::Duct wavy_duct(const solver::Gas& gas, std::size_t cells, double taper) {
  const double length = 0.01 * static_cast<double>(cells);
  solver::Duct duct("bench", length, cells, [=](double x) { return 0.044 + taper * x; },
                    {0.0, length});
  duct.fill(gas, [&](double x) {
    const double wave = std::sin(20.0 * x);
    return solver::Primitive<double>{0.5 + 0.05 * wave, 60.0 * wave, 1.2e5 + 1e4 * wave,
                                     0.5 + 0.4 * wave};
  });
  return duct;
}

void step_pipe(benchmark::State& state, solver::Duct& duct, const solver::Gas& gas) {
  constexpr double dt = 1e-9;  // so short a step that the gas stays as it is
  double updates = 0;
  for (auto _ : state) {
    Update::predict(duct, gas, dt);
    duct.set_flux_left({0, duct.left_end().p, 0, 0});
    duct.set_flux_right({0, duct.right_end().p, 0, 0});
    benchmark::DoNotOptimize(Update::advance(duct, gas, dt));
    updates += static_cast<double>(duct.cells());
  }
  count_cells(state, updates);
}

// As many pipes as there are lanes, side by side.
void step_lanes(benchmark::State& state, const solver::Duct& like, const solver::Gas& gas) {
  std::vector<solver::Duct> ducts(solver::lane_count, like);
  solver::DuctLanes lanes(like, Update::lane_kernels(like, gas), gas);
  solver::LaneNumbers dt;
  for (std::size_t k = 0; k < ducts.size(); ++k) {
    lanes.seat(k, ducts[k]);
    dt.at[k] = 1e-9;  // as above
  }
  double updates = 0;
  for (auto _ : state) {
    lanes.predict(dt);
    for (auto& duct : ducts) {
      duct.set_flux_left({0, duct.left_end().p, 0, 0});
      duct.set_flux_right({0, duct.right_end().p, 0, 0});
    }
    lanes.advance(dt);
    benchmark::DoNotOptimize(lanes.check(0));
    updates += static_cast<double>(solver::lane_count * lanes.cells());
  }
  count_cells(state, updates);
  for (std::size_t k = 0; k < ducts.size(); ++k) lanes.leave(k);
}

solver::Gas constant_gamma() {
  const auto one = solver::constituent_of_constant_gamma(1.4, 287.05);
  return {one, one};
}

// Constant gamma, constant area, no walls.
solver::Duct bare_duct(const solver::Gas& gas, std::size_t cells) {
  solver::Duct duct = wavy_duct(gas, cells, 0);
  duct.has_walls = false;
  return duct;
}

void bare_pipe(benchmark::State& state) {
  const solver::Gas gas = constant_gamma();
  solver::Duct duct = bare_duct(gas, static_cast<std::size_t>(state.range(0)));
  step_pipe(state, duct, gas);
}
BENCHMARK(bare_pipe)->Arg(20)->Arg(80)->Arg(400);

void bare_lanes(benchmark::State& state) {
  const solver::Gas gas = constant_gamma();
  step_lanes(state, bare_duct(gas, static_cast<std::size_t>(state.range(0))), gas);
}
BENCHMARK(bare_lanes)->Arg(10)->Arg(80)->Arg(400);

// A taper, friction, heat.
solver::Duct walled_duct(const solver::Gas& gas, std::size_t cells) {
  solver::Duct duct = wavy_duct(gas, cells, 0.01);
  models::PipeSpecification spec;
  spec.length = duct.length();
  spec.profile = {{0.0, 0.044}};
  spec.wall.temperature = 500;
  const models::PipeWall wall(spec, duct);
  wall.renew(gas, duct);
  return duct;
}

// Two gases whose specific heats grow with temperature, too.
void full_pipe(benchmark::State& state) {
  const auto gas = solver::air_and_products(1.87);
  solver::Duct duct = walled_duct(gas, static_cast<std::size_t>(state.range(0)));
  step_pipe(state, duct, gas);
}
BENCHMARK(full_pipe)->Arg(20)->Arg(80)->Arg(400);

void full_lanes(benchmark::State& state) {
  const auto gas = solver::air_and_products(1.87);
  step_lanes(state, walled_duct(gas, static_cast<std::size_t>(state.range(0))), gas);
}
BENCHMARK(full_lanes)->Arg(10)->Arg(80)->Arg(400)->Arg(1200);

// Friction and heat transfer coefficients; the time is that of one cell.
void wall_renewal(benchmark::State& state) {
  constexpr std::size_t cells = 80;
  const auto gas = solver::air_and_products(1.87);
  solver::Duct duct = wavy_duct(gas, cells, 0.01);
  models::PipeSpecification spec;
  spec.length = duct.length();
  spec.profile = {{0.0, 0.044}};
  const models::PipeWall wall(spec, duct);
  while (state.KeepRunningBatch(cells)) {
    wall.renew(gas, duct);
    benchmark::DoNotOptimize(duct.turbulent.data());
  }
}
BENCHMARK(wall_renewal);

}  // namespace

}  // namespace pulsewright::bench
