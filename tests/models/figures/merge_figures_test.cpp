// Pulses on their way to the merges: marks, arrivals, gaps and lengths; splitting a pressure into
// its two waves.
#include "models/figures/merge_figures.hpp"

#include <doctest/doctest.h>

#include "models/figures/cycle_record.hpp"
#include "models/figures/pulse_tracer.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

// A pipe in which uniform gas moves at u m/s.
solver::Pipe moving_gas(const solver::Gas& gas, double length, double T, double u) {
  solver::Pipe pipe("pipe", length, 50, [](double) { return 0.04; }, {});
  pipe.fill(gas, [&](double) {
    return solver::Primitive<double>{p_atm / (gas.gas_constant(0.0) * T), u, p_atm, 0.0};
  });
  return pipe;
}

// Launches a mark of every cylinder at two of its crank angles and follows them to the end.
void trace(PulseTracer& tracer, std::size_t cylinders, const std::vector<solver::Pipe>& pipes,
           const solver::Gas& gas, double speed) {
  constexpr double dt = 1e-5;
  for (const double angle : {178.0, 182.0}) {
    for (std::size_t c = 0; c < cylinders; ++c) tracer.launch(c, angle);
  }
  for (int i = 0; i < 20000 && tracer.any_moving(); ++i) {
    tracer.move(pipes, gas, dt, 360 * speed * dt);
  }
  CHECK_FALSE(tracer.any_moving());
}

}  // namespace

TEST_CASE("a mark travels at u + c") {
  // dx/dt = u + c: Courant & Friedrichs, Supersonic Flow and Shock Waves (1948), section 34.
  const auto gas = constant_gamma_gas(1.33, 290);
  const double c = std::sqrt(1.33 * 290 * 1000);
  for (const double u : {0.0, 80.0, -60.0}) {
    EngineSpecification e;
    e.exhaust_paths = {{0, {0, 1}}};
    const std::vector<solver::Pipe> pipes{moving_gas(gas, 0.8, 1000, u),
                                          moving_gas(gas, 0.35, 1000, u)};
    PulseTracer tracer(e);
    trace(tracer, 1, pipes, gas, 100);
    PulseArrival first;
    PulseArrival second;
    REQUIRE(tracer.arrival(0, 0, 180, first));
    REQUIRE(tracer.arrival(0, 1, 180, second));
    CHECK(near(first.time, 0.8 / (u + c), 1e-12));
    CHECK(near(second.time, 1.15 / (u + c), 1e-12));
    CHECK(near(first.angle, 360 * 100 * first.time, 1e-12));
    CHECK(near(second.angle, 360 * 100 * second.time, 1e-12));
    CHECK_FALSE(tracer.arrival(0, 0, 177, first));
    CHECK_FALSE(tracer.arrival(0, 0, 183, first));
  }
}

TEST_CASE("evenness of gaps") {
  CHECK(near(evenness_of({180, 180, 180, 180}), 1, 1e-14));
  CHECK(near(evenness_of({240, 240, 240}), 1, 1e-14));
  CHECK(near(evenness_of({0, 0, 0, 720}), 0, 0, 1e-14));
  CHECK(near(evenness_of({720, 0}), 0, 0, 1e-14));
  // By hand: 1 - 180 / 1080, 1 - 90 / 720 and 1 - 360 / 720.
  CHECK(near(evenness_of({270, 180, 90, 180}), 5.0 / 6, 1e-14));
  CHECK(near(evenness_of({315, 405}), 0.875, 1e-14));
  CHECK(near(evenness_of({180, 540}), 0.5, 1e-14));
  CHECK(evenness_of({720}) == 1);
}

TEST_CASE("lengths that make the gaps equal, by lengthening only") {
  const std::vector<std::vector<double>> sets{
      {0, 270, 450, 540}, {100, 190, 370, 640}, {5, 6, 7, 8}, {-30, 700, 1500}, {0, 0},
      {10, 20, 300}};
  for (const auto& arrivals : sets) {
    MergeFigures merge;
    merge.degrees_per_metre = 36;
    std::vector<std::pair<double, int>> pulses;
    for (std::size_t i = 0; i < arrivals.size(); ++i) {
      pulses.emplace_back(arrivals[i], 10 + static_cast<int>(i));
    }
    space_pulses(merge, pulses);
    const std::size_t n = arrivals.size();
    REQUIRE(merge.arrival.size() == n);
    REQUIRE(merge.added_length.size() == n);
    double sum = 0;
    double least = 1e9;
    double most = 0;
    for (std::size_t i = 0; i < n; ++i) {
      sum += merge.gap[i];
      CHECK(merge.gap[i] >= 0);
      CHECK(merge.arrival[i] >= 0);
      CHECK(merge.arrival[i] < 720);
      least = std::min(least, merge.added_length[i]);
      most = std::max(most, merge.added_length[i]);
      const double now = merge.arrival[i] + 36 * merge.added_length[i];
      const double next = merge.arrival[(i + 1) % n] + 36 * merge.added_length[(i + 1) % n] +
                          (i + 1 == n ? 720 : 0);
      CHECK(near(next - now, 720.0 / static_cast<double>(n), 1e-12));
    }
    CHECK(near(sum, 720, 1e-12));
    CHECK(near(least, 0, 0, 1e-12));
    CHECK(near(merge.length_to_even, most, 1e-12, 1e-15));
  }
  // A bank of a cross-plane V8: 270-180-90-180. The pulse that comes 90 deg early against the rest
  // is the one after the gap of 90.
  MergeFigures bank;
  bank.degrees_per_metre = 30;
  space_pulses(bank, {{0, 1}, {270, 3}, {450, 5}, {540, 7}});
  CHECK(bank.cylinders == std::vector<int>{1, 3, 5, 7});
  CHECK(near(bank.evenness, 5.0 / 6, 1e-14));
  CHECK(near(bank.length_to_even, 3, 1e-12));
}

TEST_CASE("arrivals at the merges of a V8 in still gas") {
  // Intervals at a collector from the firing order 1-8-4-3-6-5-7-2 of an even-firing V8: a bank
  // fires 270-180-90-180, the crossed groups 1-4-6-7 and 8-3-5-2 every 180 deg (arithmetic).
  const auto gas = constant_gamma_gas(1.33, 290);
  constexpr double a = 620;
  constexpr double speed = 100;
  const auto still = [&](EngineSpecification e) {
    for (auto& pipe : e.pipes) {
      pipe.initial_temperature = a * a / (1.33 * 290);
      pipe.initial_burnt = 0;
    }
    return e;
  };
  const auto figures = [&](const EngineSpecification& e) {
    const Network network(e, gas, LimiterChoice::van_leer);
    PulseTracer tracer(e);
    trace(tracer, 8, network.pipes(), gas, speed);
    return merge_figures(e, tracer, network.pipes(), std::vector<double>(8, 180.0), speed);
  };
  const auto banks = figures(still(cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.02)));
  REQUIRE(banks.size() == 2);
  CHECK(banks[0].name == "merge 1");
  CHECK(near(banks[0].evenness, 5.0 / 6, 1e-9));
  CHECK(near(banks[0].wave_speed, a, 1e-9));
  // Crank angle of a round trip, 12 N L / a with N in rpm: 92.9032 deg at 6000 rpm, 0.8 m, 620 m/s
  // (kinematics).
  CHECK(near(2 * 0.8 * banks[0].degrees_per_metre, 92.9032, 1e-6));
  for (std::size_t i = 0; i < 4; ++i) {
    // Cylinder 1 fires at 0 and 7 at 540: the order of arrival is that of firing.
    const int number = banks[0].cylinders[i];
    const double firing = number == 1 ? 0 : number == 3 ? 270 : number == 5 ? 450 : 540;
    CHECK(near(banks[0].arrival[i], std::fmod(firing + 180 + 46.4516, 720), 0, 1e-3));
    const double gap = number == 1 ? 270 : number == 3 ? 180 : number == 5 ? 90 : 180;
    CHECK(near(banks[0].gap[i], gap, 1e-9));
  }
  const auto crossed = figures(still(cross_plane_v8({{1, 4, 6, 7}, {8, 3, 5, 2}}, 0.8, 0.02)));
  for (const auto& merge : crossed) {
    CHECK(near(merge.evenness, 1, 1e-9));
    CHECK(near(merge.length_to_even, 0, 0, 1e-9));
    for (const double gap : merge.gap) CHECK(near(gap, 180, 1e-9));
  }

  // One longer tube: its pulse comes 360 n dL / a later.
  EngineSpecification stepped = still(cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.02));
  stepped.pipes[static_cast<std::size_t>(stepped.exhaust_paths[3].pipes[0])].length = 1.0;
  const auto longer = figures(stepped);
  for (std::size_t i = 0; i < 4; ++i) {
    if (longer[0].cylinders[i] != 7) continue;
    CHECK(near(longer[0].arrival[i], 0 + 1.0 * 360 * speed / a, 1e-9));
  }
  CHECK(merge_names(stepped) == std::vector<std::string>{"merge 1", "merge 2"});
}

TEST_CASE("a single outgoing wave is split into itself and nothing") {
  // Blair (1999), chapter 2, from memory; exact for homentropic flow. Particle velocities worked
  // from the formula at 20 deg C.
  struct Row {
    double ratio, u;
  };
  const double c0 = std::sqrt(1.4 * 287.05 * 293.15);
  for (const Row r : {Row{0.6, -120.7765}, Row{0.8, -53.8444}, Row{1.2, 45.2862},
                      Row{1.5, 102.3415}, Row{2.0, 178.6342}}) {
    const double X = wave_amplitude(r.ratio, 1.4);
    CHECK(near(2 * c0 / 0.4 * (X - 1), r.u, 1e-5));
    const double u = 2 * c0 / 0.4 * (X - 1);
    const auto out = split_wave(r.ratio * p_atm, u, c0 * X, 1.4, p_atm);
    CHECK(near(out.outgoing, (r.ratio - 1) * p_atm, 1e-12));
    CHECK(near(out.returning, 0, 0, 1e-9));
    const auto back = split_wave(r.ratio * p_atm, -u, c0 * X, 1.4, p_atm);
    CHECK(near(back.returning, (r.ratio - 1) * p_atm, 1e-12));
    CHECK(near(back.outgoing, 0, 0, 1e-9));
  }
}

TEST_CASE("two waves on each other are taken apart again") {
  // Superposition X_s = X_1 + X_2 - 1, Blair (1999), chapter 2, from memory; worked from the
  // formula at 20 deg C: pressure ratio and velocity (m/s) of the superposed state.
  struct Row {
    double one, two, p, u;
  };
  const double c0 = std::sqrt(1.4 * 287.05 * 293.15);
  for (const Row r : {Row{1.5, 1.2, 1.7818481647715427, 57.05532533705114},
                      Row{1.2, 0.8, 0.9656101917714296, 99.13056136075957}}) {
    const double X = wave_amplitude(r.p, 1.4);
    const auto split = split_wave(r.p * p_atm, r.u, c0 * X, 1.4, p_atm);
    // The last digits of c0 are those of the R that was used.
    CHECK(near(split.outgoing / p_atm + 1, r.one, 1e-8));
    CHECK(near(split.returning / p_atm + 1, r.two, 1e-8));
  }
}

}  // namespace pulsewright::tests
