// Which engines a turn of the crank maps onto themselves: facts that follow from firing order and
// grouping alone.
#include "models/network/symmetry.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

#include "models/network/network.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

// Number of the cylinder -> number of its image.
std::map<int, int> images(const EngineSpecification& e, const EngineSymmetry& s) {
  std::map<int, int> found;
  for (std::size_t i = 0; i < e.cylinders.size(); ++i) {
    found[e.cylinders[i].number] = e.cylinders[s.cylinders[i]].number;
  }
  return found;
}

PipeSpecification& primary(EngineSpecification& e, int number) {
  const auto cylinder = std::find_if(e.cylinders.begin(), e.cylinders.end(),
                                     [&](const auto& c) { return c.number == number; });
  return e.pipes[static_cast<std::size_t>(cylinder->exhaust.pipe)];
}

}  // namespace

TEST_CASE("crossed headers of a cross-plane V8: every cylinder is the same") {
  // Each collector gets a pulse every 180 deg; 90 deg later it is the other collector's turn.
  const auto e = cross_plane_v8(crossed, 0.8, 0.03);
  const auto s = symmetry_of(e);
  REQUIRE(s.has_value());
  CHECK(s->turn == 90);
  CHECK(s->order() == 8);
  // The firing order 1-8-4-3-6-5-7-2.
  CHECK(images(e, *s) ==
        std::map<int, int>{{1, 8}, {8, 4}, {4, 3}, {3, 6}, {6, 5}, {5, 7}, {7, 2}, {2, 1}});
  for (std::size_t i = 0; i < e.pipes.size(); ++i) {
    // Runner to runner, primary to primary, collector to collector.
    CHECK(e.pipes[i].name.substr(0, 4) == e.pipes[s->pipes[i]].name.substr(0, 4));
    CHECK(std::count(s->pipes.begin(), s->pipes.end(), i) == 1);
  }
}

TEST_CASE("headers by bank: one bank is the other a revolution later") {
  // Gaps of 270, 180, 90 and 180 deg on either bank.
  const auto e = cross_plane_v8(banks, 0.8, 0.03);
  const auto s = symmetry_of(e);
  REQUIRE(s.has_value());
  CHECK(s->turn == 360);
  CHECK(s->order() == 2);
  CHECK(images(e, *s) ==
        std::map<int, int>{{1, 6}, {6, 1}, {8, 5}, {5, 8}, {4, 7}, {7, 4}, {3, 2}, {2, 3}});
}

TEST_CASE("what makes cylinders different") {
  const auto turn_of = [](const auto& change,
                          const std::vector<std::vector<int>>& groups = crossed) {
    auto e = cross_plane_v8(groups, 0.8, 0.03);
    change(e);
    const auto s = symmetry_of(e);
    return s ? s->turn : 0.0;
  };
  CHECK(turn_of([](auto& e) { primary(e, 3).length = 0.79; }) == 0);
  // Two tubes of one collector that fire 360 deg apart, and the same of the other collector.
  CHECK(turn_of([](auto& e) {
          for (const int number : {1, 6, 8, 5}) primary(e, number).length = 0.79;
        }) == 360);
  CHECK(turn_of([](auto& e) {
          for (const int number : {1, 4, 6, 7}) primary(e, number).length = 0.79;
        }) == 180);
  CHECK(turn_of([](auto& e) { primary(e, 5).wall.emissivity = 0.3; }) == 0);
  CHECK(turn_of([](auto& e) { primary(e, 5).bends = {{0.1, 90}}; }) == 0);
  CHECK(turn_of([](auto& e) { e.junctions[0].law = JunctionLaw::plenum; }) == 180);
  CHECK(turn_of([](auto& e) { e.open_ends.back().effective_area_ratio = 0.5; }) == 180);
  CHECK(turn_of([](auto& e) { e.cylinders[2].firing_angle_deg += 20; }) == 0);
  // The place of an outlet is for sound alone, names for people.
  CHECK(turn_of([](auto& e) { e.open_ends.back().position = {3, 0, 0}; }) == 90);
  CHECK(turn_of([](auto& e) { primary(e, 3).name = "the third"; }) == 90);
  // Two tubes that change places round one collector: firing goes round it no more. After a
  // revolution opposite tubes have changed places, in either collector.
  CHECK(turn_of([](auto& e) {
          std::swap(e.junctions[0].branches[0].direction, e.junctions[0].branches[1].direction);
        }) == 360);
  // An end that is prescribed over time.
  CHECK(turn_of([](auto& e) {
          e.open_ends.pop_back();
          PrescribedEndSpecification end;
          end.end = {static_cast<int>(e.pipes.size()) - 1, Side::right};
          end.value = [](double) { return 1e5; };
          e.prescribed_ends.push_back(end);
        }) == 0);
  CHECK(!symmetry_of(single_cylinder(0.8, 0.03)).has_value());
}

TEST_CASE("made alike: each pipe and cylinder takes the mean of its preimages") {
  const auto e = cross_plane_v8(crossed, 0.8, 0.05);
  const auto symmetry = symmetry_of(e);
  REQUIRE(symmetry.has_value());
  const auto gas = constant_gamma_gas();
  Network network(e, gas, LimiterChoice::minmod, Method::finite_volume, 100);
  // Pressure of pipe i in the cell c, k turns ago.
  const auto pressure = [](std::size_t i, std::size_t c, std::size_t k) {
    return 1e5 + 1e3 * static_cast<double>(i) + 10.0 * static_cast<double>(c) +
           100.0 * static_cast<double>(k * k);
  };
  std::vector<Network> earlier;
  for (std::size_t k = 0; k < 8; ++k) {
    earlier.push_back(network);
    for (std::size_t i = 0; i < e.pipes.size(); ++i) {
      solver::Pipe& pipe = earlier.back().pipe_set().pipes()[i];
      pipe.fill(gas, [&](double x) {
        const auto c = static_cast<std::size_t>(x / pipe.dx());
        return solver::Primitive<double>{1.2, 10, pressure(i, c, k), 0.5};
      });
    }
  }
  const std::vector<double> masses = [&] {
    std::vector<double> found;
    for (std::size_t i = 0; i < 8; ++i) found.push_back(network.cylinders().mass(i));
    return found;
  }();
  network.make_alike(*symmetry, earlier);
  std::vector<double> expected(e.pipes.size(), 0.0);
  std::vector<std::size_t> image(e.pipes.size());
  for (std::size_t i = 0; i < image.size(); ++i) image[i] = i;
  for (std::size_t k = 0; k < 8; ++k) {
    for (std::size_t i = 0; i < image.size(); ++i) {
      expected[image[i]] += std::log(pressure(i, 3, k)) / 8;
      image[i] = symmetry->pipes[image[i]];
    }
  }
  for (std::size_t i = 0; i < e.pipes.size(); ++i) {
    const solver::Pipe& pipe = network.pipes()[i];
    CHECK(near(pipe.p[3], std::exp(expected[i]), 1e-9));
    CHECK(near(pipe.u[3], 10, 1e-9));
    CHECK(near(pipe.Y[3], 0.5, 1e-9));
  }
  // The network stood still: each cylinder gets the (geometric) mean of all eight.
  double mean = 1;
  for (const double mass : masses) mean *= std::pow(mass, 1.0 / 8);
  CHECK(*std::max_element(masses.begin(), masses.end()) > 1.5 * mean);
  for (std::size_t i = 0; i < 8; ++i) CHECK(near(network.cylinders().mass(i), mean, 1e-12));
}

}  // namespace pulsewright::tests
