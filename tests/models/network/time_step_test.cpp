// The one time step: it gives the same bits for a network alone and together with others.
#include "models/network/time_step.hpp"

#include <doctest/doctest.h>
#include <limits>
#include <memory>

#include "models/engine/pipe_simulation.hpp"
#include "models/engine/point_simulation.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

const solver::Gas& burst_gas() {
  static const solver::Gas the_gas = solver::air_and_products(1.87);
  return the_gas;
}

// A hot charge bursts from one pipe through a junction into another; `pressure` in Pa.
EngineSpecification bursting(double pressure, double cell_size = 0.02) {
  EngineSpecification e;
  e.pipes = {straight_pipe("vessel", 0.5, 0.06, cell_size),
             straight_pipe("tail", 0.6, 0.04, cell_size)};
  e.pipes[0].initial_pressure = pressure;
  e.pipes[0].initial_temperature = 800;
  e.pipes[0].initial_burnt = 1;
  JunctionSpecification joint;
  joint.name = "joint";
  joint.branches = {{{0, Side::right}, {-1, 0, 0}}, {{1, Side::left}, {1, 0, 0}}};
  e.junctions = {joint};
  e.closed_ends = {{{0, Side::left}}};
  e.open_ends.push_back({{1, Side::right}, 1.0, 0.5, true});
  return e;
}

bool same_gas(const Network& a, const Network& b) {
  for (std::size_t i = 0; i < a.pipes().size(); ++i) {
    const solver::Pipe& p = a.pipes()[i];
    const solver::Pipe& q = b.pipes()[i];
    for (std::size_t k = 0; k < p.cells(); ++k) {
      const auto v = p.state(k);
      const auto w = q.state(k);
      if (v.rho != w.rho || v.u != w.u || v.p != w.p || v.Y != w.Y) return false;
    }
  }
  return true;
}

Network network_of(const EngineSpecification& e, Method method = Method::finite_volume) {
  return {e, burst_gas(), LimiterChoice::monotonized_central, method};
}

}  // namespace

TEST_CASE("time step: a run of pipes and the rig of the tests take the same steps") {
  for (const Method method : {Method::finite_volume, Method::characteristics}) {
    RunSettings settings;
    settings.method = method;
    constexpr double duration = 2e-3;
    const auto result = simulate_pipes(bursting(1.6e5), duration, settings);
    PipeRig rig(bursting(1.6e5), burst_gas(), method);
    double time = 0;
    long steps = 0;
    while (duration - time > 1e-12 * duration) {
      const double left = duration - time;
      const double dt = left / std::ceil(left / rig.network().stable_step(settings.courant));
      rig.step(dt);
      time += dt;
      ++steps;
    }
    CHECK(steps == result.steps);
    for (std::size_t i = 0; i < 2; ++i) {
      for (std::size_t k = 0; k < rig.pipe(i).cells(); ++k) {
        CHECK(rig.pipe(i).state(k).p == result.pipes[i].pressure[k]);
        CHECK(rig.pipe(i).state(k).u == result.pipes[i].velocity[k]);
      }
    }
  }
}

TEST_CASE("time step: networks stepped together and alone, in ensembles and out of them") {
  // Eight that are alike but for their pressure, each with its own time step; they form ensembles
  // after a while, and one that is released dissolves nothing for the others.
  std::vector<std::unique_ptr<Network>> together;
  std::vector<std::unique_ptr<PipeRig>> alone;
  TimeStepper stepper;
  for (std::size_t k = 0; k < TimeStepper::slots; ++k) {
    const auto e = bursting(1.2e5 + 0.15e5 * static_cast<double>(k));
    together.push_back(std::make_unique<Network>(network_of(e)));
    alone.push_back(std::make_unique<PipeRig>(e, burst_gas()));
    stepper.assign(k, *together[k]);
  }
  for (int i = 0; i < 120; ++i) {
    if (i == 20) {
      CHECK_FALSE(stepper.in_ensembles());
      stepper.regroup();
      REQUIRE(stepper.in_ensembles());
    }
    if (i == 60) {
      stepper.release(3);
      REQUIRE(stepper.in_ensembles());
    }
    if (i == 90) {
      for (const std::size_t k : {0u, 1u, 2u}) stepper.release(k);
      stepper.regroup();  // too few are left
      CHECK_FALSE(stepper.in_ensembles());
    }
    TimeStepper::Intervals intervals{};
    for (std::size_t k = 0; k < TimeStepper::slots; ++k) {
      if ((k == 3 && i >= 60) || (k < 3 && i >= 90)) continue;
      intervals[k].dt = together[k]->stable_step(0.7);
      REQUIRE(intervals[k].dt == alone[k]->network().stable_step(0.7));
      alone[k]->step(intervals[k].dt);
    }
    stepper.step(intervals);
  }
  for (std::size_t k = 0; k < TimeStepper::slots; ++k) {
    CAPTURE(k);
    CHECK(same_gas(*together[k], alone[k]->network()));
    CHECK(together[k]->outlets()[0].mass == alone[k]->network().outlets()[0].mass);
  }
}

TEST_CASE("time step: a fault ends the step of its own network only") {
  auto bad = bursting(1.5e5);
  bad.junctions[0].volume = 1e-14;
  Network broken = network_of(bad);
  Network sound = network_of(bursting(1.5e5));
  PipeRig alone(bursting(1.5e5), burst_gas());
  TimeStepper stepper;
  stepper.assign(2, broken);
  stepper.assign(5, sound);
  const double dt = sound.stable_step(0.7);
  TimeStepper::Intervals intervals{};
  intervals[2].dt = intervals[5].dt = dt;
  stepper.step(intervals);
  alone.step(dt);
  REQUIRE(stepper.fault(2).has_value());
  CHECK(stepper.fault(2)->part() == "joint");
  CHECK_FALSE(stepper.fault(5).has_value());
  CHECK(same_gas(sound, alone.network()));
  CHECK(broken.time() == 0);
}

TEST_CASE("time step: an interval and a slot that can not be are refused") {
  Network network = network_of(bursting(1.5e5));
  Network other = network_of(bursting(1.5e5));
  TimeStepper stepper;
  stepper.assign(0, network);
  CHECK_THROWS_AS(stepper.assign(0, other), std::invalid_argument);
  CHECK_THROWS_AS(stepper.assign(TimeStepper::slots, other), std::invalid_argument);
  for (const double dt : {0.0, -1e-6, std::numeric_limits<double>::quiet_NaN()}) {
    CHECK_THROWS_AS(step_alone(stepper, {dt}), std::invalid_argument);
  }
  CHECK(network.time() == 0);
  stepper.release(0);
  stepper.assign(0, other);
  step_alone(stepper, {other.stable_step(0.7)});
  CHECK(other.time() > 0);
}

TEST_CASE("time step: an observer sees the ports before the cells and the end after them") {
  struct Watch : StepObserver {
    const Network& network;
    double p_before = 0, p_at_ports = 0, p_at_end = 0;
    int calls = 0;
    explicit Watch(const Network& n) : network(n) {}
    double p() const { return network.pipes()[1].p[0]; }
    void sample_ports(const StepInterval&) override {
      CHECK(++calls % 2 == 1);
      p_at_ports = p();
    }
    void end_step(const StepInterval&) override {
      CHECK(++calls % 2 == 0);
      p_at_end = p();
    }
  };
  Network network = network_of(bursting(2e5));
  Watch watch(network);
  TimeStepper stepper;
  stepper.assign(0, network, &watch);
  for (int i = 0; i < 5; ++i) {
    watch.p_before = watch.p();
    step_alone(stepper, {network.stable_step(0.7)});
    CHECK(watch.p_at_ports == watch.p_before);
    CHECK(watch.p_at_end != watch.p_before);
  }
  CHECK(watch.calls == 10);
}

TEST_CASE("time step: a network is a value that can be put back") {
  Network network = network_of(bursting(1.8e5));
  TimeStepper stepper;
  stepper.assign(0, network);
  const auto go_on = [&] {
    for (int i = 0; i < 10; ++i) step_alone(stepper, {network.stable_step(0.7)});
  };
  go_on();
  const Network kept = network;
  go_on();
  CHECK_FALSE(same_gas(network, kept));
  const Content later = network.content();
  network = kept;
  CHECK(same_gas(network, kept));
  CHECK(network.outlets()[0].mass == kept.outlets()[0].mass);
  TimeStepper afresh;
  afresh.assign(0, network);
  for (int i = 0; i < 10; ++i) step_alone(afresh, {network.stable_step(0.7)});
  // The search for the pressures at the orifices starts elsewhere: equal to its last bits.
  CHECK(std::abs(network.content().energy / later.energy - 1) < 1e-12);
}

TEST_CASE("time step: networks of different gases are not stepped together") {
  Network one = network_of(bursting(1.5e5));
  Network other(bursting(1.5e5), constant_gamma_gas(), LimiterChoice::monotonized_central);
  TimeStepper stepper;
  stepper.assign(0, one);
  CHECK_THROWS_AS(stepper.assign(1, other), std::invalid_argument);
}

}  // namespace pulsewright::tests
