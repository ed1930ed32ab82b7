// Gas at rest in a pipe of any shape stays at rest.
//
// The property of well-balanced schemes: Greenberg & Leroux, SIAM J. Numer. Anal. 33 (1996) 1.
// Bound: the pressures of cells that were filled with one p differ by their last bit, about
// 1.5e-11 Pa at 1e5 Pa; against rho c of some 200 kg/(m2 s) and more that is 1e-13 m/s.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <stdexcept>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/tube.hpp"

using namespace pulsewright::solver;
using namespace pulsewright::tests;
using namespace pulsewright::validation;

namespace {

// A cone, a step-like reducer and a bulge in one pipe of 1.2 m.
Pipe odd_pipe(std::size_t cells) {
  return {"odd pipe",
          1.2,
          cells,
          [](double x) {
            if (x < 0.4) return 0.04 + 0.02 * x / 0.4;
            if (x < 0.45) return 0.06 - 0.025 * (x - 0.4) / 0.05;
            return 0.035 + 0.03 * std::pow(std::sin(3.14159265 * (x - 0.45) / 0.75), 2.0);
          },
          {0.0, 0.4, 0.45, 1.2}};
}

double fastest_gas(const Pipe& d) {
  double u = 0;
  for (std::size_t i = 0; i < d.cells(); ++i) u = std::max(u, std::abs(d.state(i).u));
  return u;
}

}  // namespace

TEST_CASE_TEMPLATE("gas at rest stays at rest, uneven temperature and burnt fraction", Limiter,
                   LimiterMonotonizedCentral, LimiterVanLeer, LimiterMinmod) {
  const Gas gas = air_and_products(1.87);
  Pipe d = odd_pipe(83);
  d.fill(gas, [&](double x) {
    const double T = x < 0.7 ? 300.0 + 900.0 * x : 1100.0;
    const double Y = x < 0.3 ? 0.0 : std::min(1.0, 2.0 * (x - 0.3));
    return Primitive<double>{1e5 / (gas.gas_constant(Y) * T), 0.0, 1e5, Y};
  });
  const Pipe before = d;
  double worst = 0;
  for (int k = 0; k < 20; ++k) {
    run<FluxHllc, Limiter>(d, gas, 1.0, EndsWall{gas}, 0.8, 100);
    worst = std::max(worst, fastest_gas(d));
  }
  CHECK(worst < 1e-12);
  for (std::size_t i = 0; i < d.cells(); ++i) {
    CHECK(near(d.state(i).p, 1e5, 1e-14));
    CHECK(near(d.state(i).rho, before.state(i).rho, 1e-13));
    CHECK(near(d.state(i).Y, before.state(i).Y, 0, 1e-13));
  }
}

TEST_CASE("gas at rest at one temperature does not move at all") {
  for (const Gas& gas : {gas_of_constant_gamma(1.4, 287.05), air_and_products(1.87)}) {
    for (const double Y : {0.0, 0.37, 1.0}) {
      Pipe d = odd_pipe(83);
      d.fill(gas, [&](double) {
        return Primitive<double>{1e5 / (gas.gas_constant(Y) * 640.0), 0.0, 1e5, Y};
      });
      const Pipe before = d;
      // What one step does not change, none does; some more for what a step only remembers.
      run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 1.0, EndsWall{gas}, 0.8, 50);
      int changed = 0;
      for (std::ptrdiff_t i = 0; i < 83; ++i) {
        if (d.momentum[i] != 0.0 || d.rho[i] != before.rho[i] ||
            d.energy_density[i] != before.energy_density[i]) {
          ++changed;
        }
      }
      CHECK(changed == 0);
    }
  }
}

TEST_CASE("gas that is not at rest keeps mass, burnt mass and energy between walls") {
  const Gas gas = air_and_products(1.87);
  Pipe d = odd_pipe(60);
  d.fill(gas, [&](double x) {
    const double p = x < 0.5 ? 2e5 : 1e5;
    const double Y = x < 0.5 ? 1.0 : 0.0;
    const double T = x < 0.5 ? 1000.0 : 300.0;
    return Primitive<double>{p / (gas.gas_constant(Y) * T), 0.0, p, Y};
  });
  const double mass = d.mass();
  const double burnt = d.burnt();
  const double energy = d.energy();
  for (std::ptrdiff_t i = 0; i < 60; ++i) d.turbulent[i] = 0.5;  // friction turns work into heat
  run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 1.0, EndsWall{gas}, 0.8, 3000);
  CHECK(near(d.mass(), mass, 1e-13));
  CHECK(near(d.burnt(), burnt, 1e-13));
  CHECK(near(d.energy(), energy, 1e-13));
}

TEST_CASE("volume of the pipe is that of its cones") {
  // Truncated cone, elementary geometry: pi / 12 L (d1^2 + d1 d2 + d2^2); breakpoints off the grid.
  const auto diameter = [](double x) { return x < 0.37 ? 0.04 : 0.04 + 0.1 * (x - 0.37); };
  const Pipe d("cone", 1.0, 7, diameter, {0.0, 0.37, 1.0});
  double volume = 0;
  for (std::ptrdiff_t i = 0; i < 7; ++i) volume += d.volume[i];
  const double d2 = 0.04 + 0.1 * 0.63;
  const double exact = std::numbers::pi / 12.0 *
                       (0.37 * 3 * 0.04 * 0.04 + 0.63 * (0.04 * 0.04 + 0.04 * d2 + d2 * d2));
  CHECK(near(volume, exact, 1e-14));
  CHECK(near(d.area_right(), 0.25 * std::numbers::pi * d2 * d2, 1e-14));
}

TEST_CASE("a pipe of no length, no diameter or too few cells is refused") {
  const auto round = [](double) { return 0.04; };
  const auto pinched = [](double x) { return 0.04 - 0.1 * x; };
  CHECK_THROWS_WITH_AS(Pipe("p", 0.0, 10, round, {}), "pipe 'p': length must be positive",
                       std::invalid_argument);
  CHECK_THROWS_AS(Pipe("p", std::nan(""), 10, round, {}), std::invalid_argument);
  CHECK_THROWS_WITH_AS(Pipe("p", 1.0, 3, round, {}), "pipe 'p': needs at least 4 cells",
                       std::invalid_argument);
  CHECK_THROWS_WITH_AS(Pipe("p", 1.0, 10, pinched, {}), "pipe 'p': diameter must be positive",
                       std::invalid_argument);
}
