// What pipes end in: orifices one at a time and many at once, open end, junction, cylinder.
#include <numbers>

#include "models/boundary/junction.hpp"
#include "models/boundary/orifice_batch.hpp"
#include "models/boundary/radiation.hpp"
#include "models/cylinder/cylinders.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tools/bench/bench.hpp"

namespace pulsewright::bench {

namespace {

using solver::Primitive;

const solver::Gas& gas() {
  static const solver::Gas the_gas = solver::air_and_products(1.87);
  return the_gas;
}

Primitive<double> state_of(double p, double T, double u, double Y) {
  return {p / (gas().gas_constant(Y) * T), u, p, Y};
}

struct OrificeSample {
  Primitive<double> end;
  models::Reservoir<double> from;
  double phi;
};

OrificeSample entering() {
  return {state_of(1.1e5, 900, 20, 1), {1.6e5, gas().enthalpy(1300.0, 1.0), 1}, 0.4};
}
OrificeSample leaving() {
  return {state_of(1.2e5, 320, -40, 0), {0.9e5, gas().enthalpy(350.0, 0.1), 0.1}, 0.5};
}
OrificeSample choked() {
  return {state_of(1.0e5, 900, 20, 1), {5e5, gas().enthalpy(1500.0, 1.0), 1}, 0.2};
}

void one_orifice(benchmark::State& state, const OrificeSample& o) {
  for (auto _ : state) {
    const solver::EndWave<double> wave(gas(), o.end, 1.0);
    benchmark::DoNotOptimize(models::flow_through_orifice(gas(), wave, o.from, o.phi, o.phi));
  }
}
BENCHMARK_CAPTURE(one_orifice, entering, entering());
BENCHMARK_CAPTURE(one_orifice, leaving, leaving());
BENCHMARK_CAPTURE(one_orifice, choked, choked());

// The valves of eight cylinders: a third open, half of those each way. Time of all sixteen.
void valves_of_eight(benchmark::State& state) {
  models::OrificeBatch batch;
  for (auto _ : state) {
    batch.clear();
    for (int i = 0; i < 16; ++i) {
      OrificeSample o = i % 2 ? leaving() : entering();
      if (i % 3) o.phi = 0;
      o.from.p *= 1 + 0.01 * i;
      batch.add(static_cast<std::size_t>(i), o.end, 1.0, o.from, o.phi, o.phi);
    }
    batch.solve(gas());
    benchmark::DoNotOptimize(batch.flux(0));
  }
}
BENCHMARK(valves_of_eight);

void open_end(benchmark::State& state) {
  models::Radiation radiation(0.04, 101325);
  models::OrificeBatch batch;
  const auto end = state_of(1.15e5, 800, -60, 1);
  for (auto _ : state) {
    const auto load = radiation.load(end.rho, 1.33, 1e-5);
    batch.clear();
    batch.add(0, end, 1.0, {load.p, gas().enthalpy(293.15, 0.0), 0, load.impedance}, 1.0, 1.0);
    batch.solve(gas());
    radiation.advance(batch.flux(0).v, end.rho);
  }
  benchmark::DoNotOptimize(radiation);
}
BENCHMARK(open_end);

// Four primaries and a collector.
void junction_of_five(benchmark::State& state, models::JunctionLaw law) {
  models::JunctionSpecification spec;
  spec.name = "merge";
  spec.law = law;
  std::vector<double> areas;
  std::vector<models::PipeEndState> ends;
  for (int k = 0; k < 5; ++k) {
    const double around = 0.5 * std::numbers::pi * k;
    const Eigen::Vector3d direction(-0.98, 0.2 * std::cos(around), 0.2 * std::sin(around));
    spec.branches.push_back({{k, k < 4 ? models::Side::right : models::Side::left},
                             k < 4 ? direction : Eigen::Vector3d(Eigen::Vector3d::UnitX())});
    areas.push_back(k < 4 ? 1.6e-3 : 3.2e-3);
    const double p = k == 0 ? 1.5e5 : 1.1e5;
    ends.push_back({state_of(p, 900, k == 0 ? -150 : k < 4 ? 10 : 80, 1)});
  }
  models::Junction junction(spec, areas, {});
  models::OrificeBatch orifices;
  junction.fill(gas(), 1.1e5, 900, 1);
  const auto content = junction.volume_content();
  for (auto _ : state) {
    junction.set_volume_content(content);
    models::solve_alone(junction, {gas(), 1e-5, 0}, ends, orifices);
    benchmark::DoNotOptimize(junction);
  }
}
BENCHMARK_CAPTURE(junction_of_five, momentum, models::JunctionLaw::momentum);
BENCHMARK_CAPTURE(junction_of_five, constant_pressure, models::JunctionLaw::constant_pressure);
BENCHMARK_CAPTURE(junction_of_five, plenum, models::JunctionLaw::plenum);

// The eight cylinders of a V8 stand 90 deg apart; one of them stands where charges burn, the
// exhaust valves of three are open. Time of one step of all.
void cylinders_of_eight(benchmark::State& state) {
  const auto engine = cases::build_engine(demo(), demo().headers.front());
  models::Cylinders fresh(engine, 100.0);
  for (std::size_t i = 0; i < fresh.size(); ++i) fresh.fill(i, gas(), 4e5, 1300, 0.5, 30);
  const models::ValveFlow out{-0.1, -0.1 * gas().enthalpy(1300.0, 0.5), -0.05};
  constexpr int steps = 100;
  while (state.KeepRunningBatch(steps)) {
    models::Cylinders cylinders = fresh;
    for (int k = 0; k < steps; ++k) {
      cylinders.predict_midpoint(gas(), 0.2 / 36000);
      for (std::size_t i = 0; i < fresh.size(); ++i) {
        cylinders.set_flow(i, i < 3 ? out : models::ValveFlow{}, {});
      }
      cylinders.step(gas(), 30 + 0.2 * k, 0.2, 0.2 / 36000);
    }
    benchmark::DoNotOptimize(cylinders);
  }
}
BENCHMARK(cylinders_of_eight);

}  // namespace

}  // namespace pulsewright::bench
