// Acceleration of cycles: sequences whose limit is known, and engines that come to the state that
// they come to without it.
#include "models/engine/cycle_acceleration.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "models/engine/point_simulation.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

// A pipe closed at both ends, filled with gas at rest.
Network closed_pipe(double p, double T) {
  EngineSpecification e;
  PipeSpecification pipe;
  pipe.name = "pipe";
  pipe.length = 0.5;
  pipe.profile = {{0, 0.04}};
  pipe.cell_size = 0.1;
  pipe.initial_pressure = p;
  pipe.initial_temperature = T;
  e.pipes = {pipe};
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}};
  return {e, solver::air_and_products(1.87, 0), LimiterChoice::monotonized_central};
}

// The state `limit` plus parts of the ways to two others, in the logarithms of pressure and
// density.
Network state(const Network& limit, const Network& one, double part_of_one, const Network& other,
              double part_of_other) {
  Network network = limit;
  network.set_mean({&limit, &one, &other},
                   {1.0 - part_of_one - part_of_other, part_of_one, part_of_other});
  return network;
}

double pressure(const Network& network) { return network.pipes().front().state(2).p; }
double density(const Network& network) { return network.pipes().front().state(2).rho; }

}  // namespace

TEST_CASE("cycle acceleration: a sum of two geometric series comes to its limit at once") {
  // x_k = x + a^k v + b^k w: exact after as many changes as there are factors and one more, Walker
  // & Ni (2011), theorem 2.2 with Saad & Schultz, SIAM J. Sci. Stat. Comput. 7 (1986) 856. Factors
  // below 0 alternate.
  const Network limit = closed_pipe(1e5, 300);
  const Network one = closed_pipe(1.1e5, 300);    // more pressure and density
  const Network other = closed_pipe(1e5, 315.0);  // less density
  for (const auto& [a, b] : {std::pair(0.8, 0.3), std::pair(0.9, -0.7)}) {
    const auto x = [&, a = a, b = b](int k) {
      return state(limit, one, std::pow(a, k), other, std::pow(b, k));
    };
    CycleAcceleration acceleration;
    acceleration.start(x(0));
    Network network = x(0);
    for (int k = 1; k <= 3; ++k) {
      network = x(k);
      acceleration.add(network);
      const double before = pressure(network);
      acceleration.extrapolate(network);
      if (k < 3) CHECK(pressure(network) == before);  // the first cycles
    }
    // What is left is what the regularization leaves of the changes.
    CHECK(near(pressure(network), pressure(limit), 1e-4, 0));
    CHECK(near(density(network), density(limit), 1e-4, 0));
    CHECK(std::abs(pressure(x(3)) / pressure(limit) - 1) > 0.03);
  }
}

TEST_CASE("cycle acceleration: the residual is the largest change of a mass from start to end") {
  const Network start = closed_pipe(1e5, 300);
  const Network end = closed_pipe(1.02e5, 300);
  CycleAcceleration acceleration;
  acceleration.start(start);
  CHECK(std::isinf(acceleration.residual()));
  acceleration.add(end);
  CHECK(near(acceleration.residual(), 0.02, 1e-9, 0));
}

TEST_CASE("cycle acceleration: no number of a state moves by more than a factor of exp(0.5)") {
  // Changes that hardly fade: the limit of the series lies far away.
  const Network limit = closed_pipe(1e5, 300);
  const Network one = closed_pipe(1.1e5, 300);
  const auto x = [&](int k) { return state(limit, one, std::pow(0.999, k), one, 0); };
  CycleAcceleration acceleration;
  Network network = x(-3000);
  acceleration.start(network);
  for (int k = -2999; k < -2996; ++k) {
    network = x(k);
    acceleration.add(network);
  }
  const double before = pressure(network);
  acceleration.extrapolate(network);
  CHECK(near(std::abs(std::log(pressure(network) / before)), 0.5, 1e-9, 0));
}

TEST_CASE("cycle acceleration: a bank of a V8 comes to the same figures in fewer cycles") {
  const auto parts = independent_parts_of(cross_plane_v8(banks, 0.85, 0.1));
  REQUIRE(parts.size() == 2);
  RunSettings settings;
  settings.record = settings.second_pattern = false;
  settings.tolerance = 1e-6;
  settings.most_cycles = 200;
  PointSimulation plain(parts.front(), 4800 / 60.0, settings);
  const PointResult expected = plain.run();
  settings.accelerate = true;
  PointSimulation accelerated(parts.front(), 4800 / 60.0, settings);
  const PointResult found = accelerated.run();
  REQUIRE(expected.converged);
  REQUIRE(found.converged);
  CAPTURE(expected.cycles);
  CAPTURE(found.cycles);
  CHECK(found.cycles < expected.cycles);
  CHECK(near(found.torque, expected.torque, 3e-5, 0));
  for (std::size_t i = 0; i < found.cylinders.size(); ++i) {
    CHECK(near(found.cylinders[i].trapped_mass, expected.cylinders[i].trapped_mass, 3e-5, 0));
  }
  // Balances hold cycle by cycle, from whatever state it starts.
  CHECK(std::abs(found.ledger.mass.imbalance) < 1e-10);
  CHECK(std::abs(found.ledger.energy.imbalance) < 1e-10);
}

}  // namespace pulsewright::tests
