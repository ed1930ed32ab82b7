// A perforated wall: its flow in time, and what is no wall. What holds for every boundary stands in
// boundary_test.cpp, steady flow and sound through a muffler in tests/cases/tail_parts_test.cpp and
// validation/acoustics.
#include "models/boundary/perforate.hpp"

#include <doctest/doctest.h>
#include <stdexcept>
#include <vector>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

constexpr double ambient_pressure = 101325;
constexpr double ambient_temperature = 293.15;

const solver::Gas& air() {
  static const solver::Gas the_gas = solver::air_and_products(1.87);
  return the_gas;
}

PipeEndState resting(double p) {
  const solver::Primitive<double> w{p / (air().gas_constant(0.0) * ambient_temperature), 0, p, 0};
  return {w, 1.2e-3, w, ambient_temperature};
}

}  // namespace

TEST_CASE(
    "perforate: flow through the holes starts by their inertia, and what is no wall is refused") {
  const std::vector<PipeEndState> four(4, resting(ambient_pressure));
  const PipeEnd end{0, Side::left};
  PerforateSpecification holes;
  holes.core.name = "core";
  holes.core.branches = holes.space.branches = {{end, {-1, 0, 0}}, {end, {1, 0, 0}}};
  holes.hole_area = 2e-5;
  holes.hole_length = 4e-3;
  Perforate wall(holes, {air(), {ambient_pressure, ambient_temperature}, four});
  // Pipes that hold the core 1 kPa above the space: once the core has followed, dm/dt = S dp / l =
  // 5 kg/s2, against 0.4 kg/(s kPa) of the pipes (twice their area over the speed of sound, in
  // series) and a resistance that is small at first.
  std::vector<PipeEndState> states = four;
  states[0] = states[1] = resting(ambient_pressure + 1000);
  OrificeBatch orifices;
  const double dt = 1e-6;
  for (int i = 0; i < 20; ++i) solve_alone(wall, {air(), dt, 0}, states, orifices);
  const double before = wall.mass_flow();
  for (int i = 0; i < 5; ++i) solve_alone(wall, {air(), dt, 0}, states, orifices);
  CHECK(near((wall.mass_flow() - before) / (5 * dt), 5, 0.1));
  // What the holes pass comes from the pipes of the core.
  CHECK(wall.flux(0).mass < 0);
  CHECK(wall.flux(2).mass > 0);
  Perforate copy(holes, {air(), {ambient_pressure, ambient_temperature}, four});
  copy.start_from(wall);
  CHECK(copy.mass_flow() == wall.mass_flow());

  for (const int fault : {0, 1, 2}) {
    PerforateSpecification wrong = holes;
    if (fault == 0) wrong.hole_area = 0;
    if (fault == 1) wrong.hole_length = 0;
    if (fault == 2) wrong.space.law = JunctionLaw::plenum;
    CHECK_THROWS_AS(Perforate(wrong, {air(), {ambient_pressure, ambient_temperature}, four}),
                    std::invalid_argument);
  }
  JunctionSpecification throttled;
  throttled.branches = {{end, {1, 0, 0}, 0.5, 0.5}};
  const std::vector<PipeEndState> one(1, four[0]);
  CHECK_THROWS_AS(Junction(throttled, {air(), {ambient_pressure, ambient_temperature}, one}),
                  std::invalid_argument);
}

}  // namespace pulsewright::tests
