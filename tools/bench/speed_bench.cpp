// Speed of the kernels and of whole operating points, in cell updates per second, each beside a
// plain yardstick: the first-order scheme, one flux function in one scalar loop over cells.
// Absolute figures drift from machine to machine; ratios of one run do not.
#include <benchmark/benchmark.h>
#include <memory>
#include <thread>

#include "cases/case_reader.hpp"
#include "models/engine_run.hpp"
#include "solver/duct_update.hpp"
#include "solver/thermodynamics.hpp"
#include "tools/study/study.hpp"

namespace {

namespace cases = pulsewright::cases;
namespace models = pulsewright::models;
namespace solver = pulsewright::solver;

constexpr std::size_t cells = 80;  // of a primary at 10 mm

solver::Duct wavy_duct(const solver::Gas& gas) {
  solver::Duct duct("bench", 0.8, cells, [](double) { return 0.044; }, {0.0, 0.8});
  duct.fill(gas, [&](double x) {
    const double wave = std::sin(20.0 * x);
    return solver::Primitive<double>{0.5 + 0.05 * wave, 60.0 * wave, 1.2e5 + 1e4 * wave, 0.5};
  });
  return duct;
}

void set_walls(solver::Duct& duct) {
  duct.set_flux_left({0, duct.left_end().p, 0, 0});
  duct.set_flux_right({0, duct.right_end().p, 0, 0});
}

void count_cells(benchmark::State& state, double updates) {
  state.counters["cell_updates"] =
      benchmark::Counter(updates, benchmark::Counter::kIsRate, benchmark::Counter::kIs1000);
}

// The yardstick: the plainest scheme of first order, one flux per face, no packs.
void yardstick(benchmark::State& state) {
  const solver::Gas gas{solver::constituent_of_constant_gamma(1.4, 287.05),
                        solver::constituent_of_constant_gamma(1.4, 287.05)};
  solver::Duct duct = wavy_duct(gas);
  double updates = 0;
  for (auto _ : state) {
    const double rate = 1e-6 / duct.dx();
    solver::Flux<double> left{0, duct.p[0], 0, 0};
    for (std::size_t i = 0; i < cells; ++i) {
      const auto k = static_cast<std::ptrdiff_t>(i);
      const solver::Flux<double> right =
          i + 1 < cells ? solver::FluxHllc::between(gas, duct.state(i), duct.state(i + 1))
                        : solver::Flux<double>{0, duct.p[k], 0, 0};
      duct.next_rho[k] = duct.rho[k] + rate * (left.mass - right.mass);
      duct.next_momentum[k] = duct.momentum[k] + rate * (left.momentum - right.momentum);
      duct.next_energy[k] = duct.energy_density[k] + rate * (left.energy - right.energy);
      duct.next_burnt[k] = duct.burnt_density[k] + rate * (left.burnt - right.burnt);
      left = right;
    }
    benchmark::DoNotOptimize(duct.next_rho.data());
    updates += cells;
  }
  count_cells(state, updates);
}
BENCHMARK(yardstick);

void pipe_kernel(benchmark::State& state, const solver::Gas& gas) {
  using Update = solver::DuctUpdate<solver::FluxHllc, solver::LimiterMonotonizedCentral>;
  solver::Duct duct = wavy_duct(gas);
  double updates = 0;
  for (auto _ : state) {
    Update::predict(duct, gas, 1e-6);
    set_walls(duct);
    Update::interior_fluxes(duct, gas);
    benchmark::DoNotOptimize(Update::apply(duct, gas, 1e-6));
    updates += cells;
  }
  count_cells(state, updates);
}
BENCHMARK_CAPTURE(pipe_kernel, constant_gamma,
                  solver::Gas{solver::constituent_of_constant_gamma(1.4, 287.05),
                              solver::constituent_of_constant_gamma(1.4, 287.05)});
BENCHMARK_CAPTURE(pipe_kernel, two_gases, solver::air_and_products(1.87));

const cases::Case& demo() {
  static const cases::Case a_case =
      cases::read_case_file(PULSEWRIGHT_SOURCE_DIR "/cases/hillclimb-v8.toml");
  return a_case;
}

// One operating point of the demo engine, boundaries and bookkeeping included.
void operating_point(benchmark::State& state) {
  const auto engine = cases::build_engine(demo(), demo().concepts.front());
  double updates = 0;
  for (auto _ : state) {
    models::EngineRun run(engine, 100.0, demo().run.settings);
    const auto result = run.run();
    updates += static_cast<double>(result.steps) * result.cells;
  }
  count_cells(state, updates);
}
BENCHMARK(operating_point)->Unit(benchmark::kMillisecond)->UseRealTime();

// As many operating points at once as there are threads: what all cores do together.
void operating_points_on_threads(benchmark::State& state) {
  const auto engine = cases::build_engine(demo(), demo().concepts.front());
  const auto threads = static_cast<std::size_t>(state.range(0));
  double updates = 0;
  for (auto _ : state) {
    std::vector<double> done(threads);
    {
      std::vector<std::jthread> workers;
      for (std::size_t t = 0; t < threads; ++t) {
        workers.emplace_back([&, t] {
          models::EngineRun run(engine, 100.0, demo().run.settings);
          const auto result = run.run();
          done[t] = static_cast<double>(result.steps) * result.cells;
        });
      }
    }
    for (const double d : done) updates += d;
  }
  count_cells(state, updates);
}
BENCHMARK(operating_points_on_threads)
    ->Arg(1)
    ->Arg(static_cast<int>(std::max(1U, std::thread::hardware_concurrency())))
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
