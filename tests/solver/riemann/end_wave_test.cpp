// EndWave: the wave or shock between a pipe and its end, against closed forms.
//
// Finite-amplitude relations, gas of one entropy: X = (p/p0)^((gamma-1)/(2 gamma)),
// u = 2 c0 (X - 1)/(gamma - 1), closed end p/p0 = (2 X - 1)^(2 gamma/(gamma-1)), open end
// X_reflected = 2 - X with twice the velocity. Textbook results; in this notation Blair (1999),
// chapter 2 (from memory). Numbers computed independently of this code. R = 287.05 J/(kg K).
#include "solver/riemann/end_wave.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <vector>

#include "solver/riemann/exact.hpp"
#include "tests/near.hpp"
#include "validation/rig/tube.hpp"

using namespace pulsewright::solver;
using namespace pulsewright::tests;
using namespace pulsewright::validation;

namespace {

struct EndCase {
  double gamma, R, T0;
  double P;          // pressure ratio of the arriving wave
  double u;          // its particle velocity, m/s
  double closed;     // pressure ratio at a closed end
  double u_open;     // velocity at an open end, m/s
  double reflected;  // pressure ratio of the wave an open end sends back
};

const std::vector<EndCase> rows{
    {1.4, 287.05, 293.15, 0.6, -120.7765, 0.345804, -241.5530, 1.609736},
    {1.4, 287.05, 293.15, 0.8, -53.8444, 0.635314, -107.6887, 1.241412},
    {1.4, 287.05, 293.15, 1.2, 45.2862, 1.433350, 90.5724, 0.829280},
    {1.4, 287.05, 293.15, 1.5, 102.3415, 2.200588, 204.6830, 0.650247},
    {1.4, 287.05, 293.15, 1.8, 150.3283, 3.095711, 300.6566, 0.526394},
    {1.4, 287.05, 293.15, 2.0, 178.6342, 3.757674, 357.2685, 0.463289},
    {1.4, 287.05, 298.15, 1.2, 45.6708, 1.433350, 91.3415, 0.829280},
    {1.4, 287.05, 298.15, 2.0, 180.1512, 3.757674, 360.3024, 0.463289},
    {1.33, 290.0, 1000.0, 0.8, -102.7685, 0.635947, -205.5370, 1.242508},
    {1.33, 290.0, 1000.0, 1.2, 86.1057, 1.434204, 172.2114, 0.829824},
    {1.33, 290.0, 1000.0, 1.5, 194.1759, 2.206721, 388.3518, 0.652499},
};

constexpr double p0 = 1e5;

// Gas behind the arriving wave, as the pipe end at the right sees it.
Primitive<double> behind_wave(const EndCase& row) {
  const double rho0 = p0 / (row.R * row.T0);
  return {rho0 * std::pow(row.P, 1.0 / row.gamma), row.u, p0 * row.P, 0.0};
}

// Leading difference between a shock and a smooth compression to the relative pressure rise e, as
// a share of the gas's c / gamma in velocity or of the pressure: the relations of
// solver/riemann/end_wave.hpp expanded in e agree to e^2; with a = (gamma + 1) / (2 gamma) the
// terms of e^3 are 3 a^2 / 8 and a (a + 1) / 6.
double third_order(double gamma, double e) {
  const double a = 0.5 * (gamma + 1.0) / gamma;
  return (3.0 * a * a / 8.0 - a * (a + 1.0) / 6.0) * e * e * e;
}

EndWave<double> right_end(const Gas& gas, const Primitive<double>& w) { return {gas, w, -1.0}; }

}  // namespace

TEST_CASE("end wave: rarefaction from gas at rest follows the simple wave") {
  for (const EndCase& row : rows) {
    const Gas gas = gas_of_constant_gamma(row.gamma, row.R);
    const EndWave<double> rest(gas, {p0 / (row.R * row.T0), 0.0, p0, 0.0}, 1.0);
    if (row.P >= 1) continue;
    CAPTURE(row.P);
    CHECK(near(rest.velocity(row.P * p0), row.u, 0, 1e-4));
    CHECK(near(rest.density(row.P * p0), rest.rho * std::pow(row.P, 1.0 / row.gamma), 1e-14));
  }
}

TEST_CASE("end wave: closed end") {
  for (const EndCase& row : rows) {
    CAPTURE(row.P);
    CAPTURE(row.gamma);
    const Gas gas = gas_of_constant_gamma(row.gamma, row.R);
    const double reflected = right_end(gas, behind_wave(row)).wall_pressure() / p0;
    if (row.P < 1) {
      CHECK(near(reflected, row.closed, 0, 1e-6));  // printed digits
    } else {
      // The reflection of a compression is taken as a shock, which takes more pressure than
      // velocity gives in a smooth wave: lower by third_order().
      CHECK(near(reflected, row.closed, third_order(row.gamma, row.closed / row.P - 1.0), 1e-6));
      CHECK(reflected < row.closed + 1e-6);
    }
  }
}

TEST_CASE("end wave: open end") {
  for (const EndCase& row : rows) {
    CAPTURE(row.P);
    const Gas gas = gas_of_constant_gamma(row.gamma, row.R);
    const EndWave<double> wave = right_end(gas, behind_wave(row));
    const double u_out = -wave.velocity(p0);
    const double c0 = std::sqrt(row.gamma * row.R * row.T0);
    if (row.P > 1) {
      CHECK(near(u_out, row.u_open, 0, 2e-4));  // the arriving wave is printed to 1e-4 m/s
      // The gas leaves subsonic at ambient pressure unless the wave is so strong that the sonic
      // point of the rarefaction lies above it.
      CHECK((wave.sonic_outflow_pressure() <= p0) == (row.u_open <= c0 * (1 + 1e-12)));
      // The wave sent back: the same invariant from the other side.
      const double X_back = 2.0 - std::pow(row.P, 0.5 * (row.gamma - 1.0) / row.gamma);
      CHECK(near(std::pow(X_back, 2.0 * row.gamma / (row.gamma - 1.0)), row.reflected, 0, 1e-6));
    } else {
      // An expansion is reflected as a compression, computed as a shock.
      const double c = std::sqrt(row.gamma * row.P * p0 / wave.rho);
      CHECK(near(u_out, row.u_open, 0,
                 2e-4 + c / row.gamma * third_order(row.gamma, 1.0 / row.P - 1.0)));
    }
  }
}

TEST_CASE("end wave: reflection of a shock") {
  // p5/p1 = p21 ((3 g - 1) p21 - (g - 1)) / ((g - 1) p21 + (g + 1)): standard, from memory;
  // numbers computed independently.
  struct Shock {
    double p21, Mach, p51;
  };
  const Gas gas = gas_of_constant_gamma(1.4, 287.05);
  const double c1 = std::sqrt(1.4 * 287.05 * 293.15);
  const double rho1 = p0 / (287.05 * 293.15);
  for (const Shock& s : {Shock{1.2, 1.082325538564332, 1.433333333333333},
                         Shock{1.5, 1.1952286093343936, 2.1999999999999993},
                         Shock{2, 1.3627702877384937, 3.749999999999999},
                         Shock{3, 1.647508942095828, 7.666666666666666}}) {
    CAPTURE(s.p21);
    // The end of a pipe of gas at rest that is pushed to p21 makes the shock.
    const EndWave<double> rest(gas, {rho1, 0.0, p0, 0.0}, 1.0);
    const double v = rest.velocity(s.p21 * p0);
    const double rho = rest.density(s.p21 * p0);
    CHECK(near(rho * v / (rho - rho1), s.Mach * c1, 1e-12));  // shock speed from mass conservation
    // It arrives at a wall.
    const EndWave<double> arriving = right_end(gas, {rho, v, s.p21 * p0, 0.0});
    CHECK(near(arriving.wall_pressure(), s.p51 * p0, 1e-12));
  }
}

TEST_CASE("end wave: velocity rises with pressure and pressure() inverts it") {
  for (const double gamma : {1.25, 1.33, 1.4, 5.0 / 3.0}) {
    const Gas gas = gas_of_constant_gamma(gamma, 290.0);
    for (const double u : {-300.0, -20.0, 0.0, 150.0}) {
      for (const double inward : {-1.0, 1.0}) {
        const EndWave<double> wave(gas, {0.7, u, 1.3e5, 0.0}, inward);
        double before = -1e9;
        for (double p = 2e3; p < 2e6; p *= 1.17) {
          const double v = wave.velocity(p);
          CHECK(v > before);
          before = v;
          CHECK(near(wave.pressure(v), p, 1e-12));
        }
        CHECK(near(wave.velocity(1.3e5), inward * u, 0, 1e-12));
        // Both branches meet with one slope, rho c.
        const double rho_c = 0.7 * wave.c;
        const double step = 1e-3 * 1.3e5;
        CHECK(near((wave.velocity(1.3e5 + step) - wave.velocity(1.3e5)) / step, 1 / rho_c, 2e-3));
        CHECK(near((wave.velocity(1.3e5) - wave.velocity(1.3e5 - step)) / step, 1 / rho_c, 2e-3));
      }
    }
  }
}

TEST_CASE("end wave: the same relation as the exact Riemann solver") {
  // Mirror image at a wall: the star state of w and its mirror image is the gas stopped at the end.
  const Gas gas = gas_of_constant_gamma(1.4);
  for (const double u : {-1.5, -0.3, 0.0, 0.4, 2.0}) {
    CAPTURE(u);
    const RiemannSolution s = riemann_exact({0.9, u, 1.1, 1.4}, {0.9, -u, 1.1, 1.4});
    const EndWave<double> wave = right_end(gas, {0.9, u, 1.1, 0.0});
    CHECK(near(wave.wall_pressure(), s.p_star, 1e-12));
    CHECK(near(wave.density(s.p_star), s.rho_star_left, 1e-12));
  }
}

TEST_CASE("end wave: outflow at Mach 1 is a point of the rarefaction") {
  const Gas gas = gas_of_constant_gamma(1.33, 290.0);
  for (const double mach : {0.0, 0.3, 0.9}) {
    const double c = std::sqrt(1.33 * 2e5 / 0.8);
    const EndWave<double> wave(gas, {0.8, -mach * c, 2e5, 0.0}, 1.0);  // leaves at the left end
    const double p = wave.sonic_outflow_pressure();
    const auto behind = wave.behind(p);
    CHECK(near(-behind.v, std::sqrt(1.33 * p / behind.rho), 1e-12));
    CHECK(p < 2e5);
  }
  const double c = std::sqrt(1.33 * 2e5 / 0.8);
  CHECK(EndWave<double>(gas, {0.8, -1.5 * c, 2e5, 0.0}, 1.0).sonic_outflow_pressure() == 2e5);
}

TEST_CASE("end wave: gas that is pulled away faster than it can follow leaves vacuum") {
  const Gas gas = gas_of_constant_gamma(1.4, 287.05);
  const EndWave<double> wave(gas, {1.2, 0.0, 1e5, 0.0}, 1.0);
  CHECK(wave.pressure(-5.01 * wave.c) == 0.0);
  CHECK(wave.pressure(-4.9 * wave.c) > 0.0);
}

TEST_CASE("end wave: packs and doubles give the same bits for a shock") {
  const Gas gas = gas_of_constant_gamma(1.4, 287.05);
  const double u[] = {-30.0, 0.0, 40.0, 210.0, -5.0, 1.0, 2.0, 3.0};
  const Primitive<Pack> w{Pack(1.1), load<Pack>(u), Pack(1.2e5), Pack(0.0)};
  const EndWave<Pack> pack(gas, w, 1.0);
  const Pack v = pack.velocity(Pack(1.9e5));
  const Pack density = pack.density(Pack(1.9e5));
  for (std::size_t k = 0; k < Pack::size(); ++k) {
    const EndWave<double> one(gas, {1.1, u[k], 1.2e5, 0.0}, 1.0);
    CHECK(v[k] == one.velocity(1.9e5));
    CHECK(density[k] == one.density(1.9e5));
  }
}
