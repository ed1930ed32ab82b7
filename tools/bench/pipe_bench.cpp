// The step of a pipe, ends aside.
#include <cmath>

#include "models/network/pipe_wall.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "solver/pipe/pipe_ensemble.hpp"
#include "solver/pipe/pipe_update.hpp"
#include "tools/bench/bench.hpp"
#include "tools/bench/reference_kernel.hpp"

namespace pulsewright::bench {

namespace {

using Update = solver::PipeUpdate<solver::FluxHllc, solver::LimiterMonotonizedCentral>;

void reference_kernel(benchmark::State& state) {
  constexpr std::size_t cells = 80;
  ReferencePipe pipe(cells);
  double updates = 0;
  for (auto _ : state) {
    step_reference_kernel(pipe, 1e-6);  // so short a step that the gas stays as it is
    benchmark::DoNotOptimize(pipe.rho.data());
    updates += cells;
  }
  count_cells(state, updates);
}
BENCHMARK(reference_kernel);

solver::Pipe wavy_pipe(const solver::Gas& gas, std::size_t cells, double taper) {
  const double length = 0.01 * static_cast<double>(cells);
  solver::Pipe pipe("bench", length, cells, [=](double x) { return 0.044 + taper * x; },
                    {0.0, length});
  pipe.fill(gas, [&](double x) {
    const double wave = std::sin(20.0 * x);
    return solver::Primitive<double>{0.5 + 0.05 * wave, 60.0 * wave, 1.2e5 + 1e4 * wave,
                                     0.5 + 0.4 * wave};
  });
  return pipe;
}

void step_pipe(benchmark::State& state, solver::Pipe& pipe, const solver::Gas& gas) {
  constexpr double dt = 1e-9;  // so short a step that the gas stays as it is
  double updates = 0;
  for (auto _ : state) {
    Update::predict(pipe, gas, dt);
    pipe.set_flux_left({0, pipe.left_end().p, 0, 0});
    pipe.set_flux_right({0, pipe.right_end().p, 0, 0});
    benchmark::DoNotOptimize(Update::advance(pipe, gas, dt));
    updates += static_cast<double>(pipe.cells());
  }
  count_cells(state, updates);
}

// A full ensemble of equal pipes.
void step_ensemble(benchmark::State& state, const solver::Pipe& like, const solver::Gas& gas) {
  std::vector<solver::Pipe> pipes(solver::ensemble_size, like);
  solver::PipeEnsemble ensemble(like, Update::ensemble_kernels(like, gas), gas);
  solver::EnsembleValues dt;
  for (std::size_t k = 0; k < pipes.size(); ++k) {
    ensemble.assign(k, pipes[k]);
    dt.at[k] = 1e-9;  // as above
  }
  double updates = 0;
  for (auto _ : state) {
    ensemble.predict(dt);
    for (auto& pipe : pipes) {
      pipe.set_flux_left({0, pipe.left_end().p, 0, 0});
      pipe.set_flux_right({0, pipe.right_end().p, 0, 0});
    }
    ensemble.advance(dt);
    benchmark::DoNotOptimize(ensemble.check(0));
    updates += static_cast<double>(solver::ensemble_size * ensemble.cells());
  }
  count_cells(state, updates);
  for (std::size_t k = 0; k < pipes.size(); ++k) ensemble.release(k);
}

solver::Gas constant_gamma() {
  const auto one = solver::constituent_of_constant_gamma(1.4, 287.05);
  return {one, one};
}

// Constant gamma, constant area, no walls.
solver::Pipe bare_pipe(const solver::Gas& gas, std::size_t cells) {
  solver::Pipe pipe = wavy_pipe(gas, cells, 0);
  pipe.has_walls = false;
  return pipe;
}

void bare_pipe(benchmark::State& state) {
  const solver::Gas gas = constant_gamma();
  solver::Pipe pipe = bare_pipe(gas, static_cast<std::size_t>(state.range(0)));
  step_pipe(state, pipe, gas);
}
BENCHMARK(bare_pipe)->Arg(20)->Arg(80)->Arg(400);

void bare_ensemble(benchmark::State& state) {
  const solver::Gas gas = constant_gamma();
  step_ensemble(state, bare_pipe(gas, static_cast<std::size_t>(state.range(0))), gas);
}
BENCHMARK(bare_ensemble)->Arg(10)->Arg(80)->Arg(400);

// A taper, friction, heat.
solver::Pipe walled_pipe(const solver::Gas& gas, std::size_t cells) {
  solver::Pipe pipe = wavy_pipe(gas, cells, 0.01);
  models::PipeSpecification spec;
  spec.length = pipe.length();
  spec.profile = {{0.0, 0.044}};
  spec.wall.temperature = 500;
  const models::PipeWall wall(spec, pipe);
  wall.renew(gas, pipe);
  return pipe;
}

// Two gases whose specific heats grow with temperature, too.
void full_pipe(benchmark::State& state) {
  const auto gas = solver::air_and_products(1.87);
  solver::Pipe pipe = walled_pipe(gas, static_cast<std::size_t>(state.range(0)));
  step_pipe(state, pipe, gas);
}
BENCHMARK(full_pipe)->Arg(20)->Arg(80)->Arg(400);

void full_ensemble(benchmark::State& state) {
  const auto gas = solver::air_and_products(1.87);
  step_ensemble(state, walled_pipe(gas, static_cast<std::size_t>(state.range(0))), gas);
}
BENCHMARK(full_ensemble)->Arg(10)->Arg(80)->Arg(400)->Arg(1200);

// Friction and heat transfer coefficients; the time is that of one cell.
void wall_renewal(benchmark::State& state) {
  constexpr std::size_t cells = 80;
  const auto gas = solver::air_and_products(1.87);
  solver::Pipe pipe = wavy_pipe(gas, cells, 0.01);
  models::PipeSpecification spec;
  spec.length = pipe.length();
  spec.profile = {{0.0, 0.044}};
  const models::PipeWall wall(spec, pipe);
  while (state.KeepRunningBatch(cells)) {
    wall.renew(gas, pipe);
    benchmark::DoNotOptimize(pipe.turbulent.data());
  }
}
BENCHMARK(wall_renewal);

}  // namespace

}  // namespace pulsewright::bench
