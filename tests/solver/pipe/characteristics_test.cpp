// The method of characteristics by itself: rest, symmetry, faults, what it copies to the cells.
// Waves and steady flow stand in validation/characteristics.
#include "solver/pipe/characteristics.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/characteristics/characteristics_rig.hpp"

namespace pulsewright::tests {

using namespace solver;
using validation::CharacteristicsRig;

namespace {

const Gas gas = air_and_products(1.87);

Pipe shaped(const std::function<double(double)>& diameter) {
  return {"shaped", 0.8, 80, diameter, {0.0, 0.3, 0.8}};
}
double wedge(double x) { return x < 0.3 ? 0.03 + 0.1 * x : 0.06 - 0.04 * (x - 0.3); }

CharacteristicsRig::Boundary wall() {
  return [](const EndWave<double>& wave) { return models::flow_at_wall(wave); };
}

Primitive<double> state(double p, double T, double u, double Y) {
  return {p / (gas.gas_constant(Y) * T), u, p, Y};
}

}  // namespace

TEST_CASE("characteristics: gas at rest stays at rest in any shape, with any temperature") {
  CharacteristicsRig rig(
      gas, shaped(wedge), [](double x) { return state(1e5, 300 + 900 * x, 0, x); }, wall(), wall());
  rig.run_until(0.02);
  double fastest = 0;
  double off = 0;
  for (std::size_t i = 0; i <= rig.pipe().cells(); ++i) {
    fastest = std::max(fastest, std::abs(rig.characteristics().state(i).u));
    off = std::max(off, std::abs(rig.characteristics().state(i).p / 1e5 - 1));
  }
  // Round-off of p is 1e-11 Pa, of u = dp / (rho c) about 1e-13 m/s.
  CHECK(fastest < 1e-10);
  CHECK(off < 1e-12);
}

TEST_CASE("characteristics: a mirrored pipe gives the mirrored solution") {
  const auto start = [](double x) {
    return state(1e5 * (1 + 0.3 * std::exp(-std::pow((x - 0.25) / 0.06, 2))), 500 + 400 * x,
                 20 - 30 * x, x);
  };
  const models::Reservoir<double> outside{1e5, gas.enthalpy(300.0, 0.0), 0.0};
  const CharacteristicsRig::Boundary open = [&](const EndWave<double>& wave) {
    return models::flow_through_orifice(gas, wave, outside, 0.8, 1.0);
  };
  CharacteristicsRig rig(gas, shaped(wedge), start, open, wall());
  CharacteristicsRig mirror(
      gas, Pipe("shaped", 0.8, 80, [](double x) { return wedge(0.8 - x); }, {0.0, 0.5, 0.8}),
      [&](double x) {
        auto w = start(0.8 - x);
        w.u = -w.u;
        return w;
      },
      wall(), open);
  for (CharacteristicsRig* each : {&rig, &mirror}) {
    for (std::size_t i = 0; i < 80; ++i) {
      const auto k = static_cast<std::ptrdiff_t>(i);
      each->pipe().turbulent[k] = 0.4;
      each->pipe().heat_transfer[k] = 3e4;
      each->pipe().T_wall[k] = 600;
    }
  }
  rig.run_until(4e-3);
  mirror.run_until(4e-3);
  for (std::size_t i = 0; i <= 80; ++i) {
    const auto a = rig.characteristics().state(i);
    const auto b = mirror.characteristics().state(80 - i);
    CHECK(near(a.p, b.p, 1e-9));
    CHECK(near(a.rho, b.rho, 1e-9));
    CHECK(near(a.u, -b.u, 1e-9, 1e-7));
    CHECK(near(a.Y, b.Y, 1e-9, 1e-9));
  }
}

TEST_CASE("characteristics: cells get the mean of their nodes and the heat of the wall") {
  CharacteristicsRig rig(
      gas, shaped([](double) { return 0.04; }), [](double) { return state(1e5, 800, 0, 1); },
      wall(), wall());
  Pipe cells = rig.pipe();
  for (std::size_t i = 0; i < 80; ++i) {
    cells.heat_transfer[static_cast<std::ptrdiff_t>(i)] = 1e3;
    cells.T_wall[static_cast<std::ptrdiff_t>(i)] = 700;
  }
  rig.characteristics().write(gas, cells, 1e-3);
  for (const std::ptrdiff_t k : {0, 40, 79}) {
    CHECK(near(cells.p[k], 1e5, 1e-12));
    CHECK(near(cells.T[k], 800, 1e-12));
    CHECK(near(cells.Y[k], 1, 1e-12));
    CHECK(near(cells.wall_heat[k], -1e3 * 100 * 1e-3, 1e-12));
  }
  CHECK(cells.heat_transfer_time == 1e-3);
}

TEST_CASE("characteristics: what can not be computed is a fault with pipe and place") {
  CharacteristicsRig rig(
      gas, shaped([](double) { return 0.04; }),
      [](double x) { return state(1e5, 300, x < 0.4 ? -3000 : 3000, 0); }, wall(), wall());
  try {
    rig.run_until(1e-3);
    FAIL("a vacuum was computed");
  } catch (const Fault& fault) {
    CHECK(fault.part() == "shaped");
    CHECK(std::string(fault.what()).find("pressure") != std::string::npos);
  }
}

TEST_CASE("characteristics: a temperature that the iteration does not reach is a fault") {
  // Isentropic expansion to 1e-250 Pa ends at some 1e-70 K, 20 steps come down by 5^20 at most.
  Pipe pipe = shaped([](double) { return 0.04; });
  pipe.fill(gas, [](double) { return state(1e5, 300, 0, 0); });
  CharacteristicPipe characteristics(pipe, gas);
  characteristics.predict_ends(gas, pipe, 1e-6);
  characteristics.set_left({1e-250, 0, false, 0, 0});
  characteristics.set_right({1e5, 0, false, 0, 0});
  try {
    characteristics.advance(gas, 1e-6);
    FAIL("a temperature was made up");
  } catch (const Fault& fault) {
    CHECK(fault.part() == "shaped");
    CHECK(fault.place() == 0);
    CHECK(std::string(fault.what()).find("temperature in K = nan") != std::string::npos);
  }
}

}  // namespace pulsewright::tests
