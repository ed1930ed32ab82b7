// What the air outside does to an open end, without a pipe: inertia, radiation, gas that is
// flushed.
#include "models/boundary/radiation.hpp"

#include <cmath>
#include <complex>
#include <doctest/doctest.h>
#include <numbers>

#include "tests/near.hpp"

namespace pulsewright::tests {

using models::Radiation;

namespace {

constexpr double p_outside = 101325;
constexpr double rho = 0.4;
constexpr double air_gamma = 1.33;
constexpr double radius = 0.025;
const double c_outside = std::sqrt(air_gamma * p_outside / rho);

// Pressure above that of the surroundings for the velocity U out of the end, Pa.
double step(Radiation& end, double U, double dt, double rho_passing = rho) {
  const auto load = end.load(rho, air_gamma, dt);
  end.advance(-U, rho_passing);
  return load.p + load.impedance * U - p_outside;
}

}  // namespace

TEST_CASE("radiation: steady flow leaves against the pressure of the surroundings") {
  Radiation end(radius, p_outside);
  double p = 0;
  for (int i = 0; i < 500; ++i) p = step(end, 80, 2e-5);
  CHECK(near(p, 0, 0, 1e-6));
}

TEST_CASE("radiation: gas that gains speed pushes an added length of 0.6133 radii") {
  // Levine & Schwinger (1948), limit of low frequency: p = rho 0.6133 a dU/dt.
  constexpr double rate = 2e4;  // m/s2
  for (const double dt : {1e-6, 1e-5}) {
    Radiation end(radius, p_outside);
    double p = 0;
    for (double t = dt; t < 3e-3; t += dt) p = step(end, rate * t, dt);
    CHECK(near(p, rho * 0.6133 * radius * rate, 1e-6));
  }
}

TEST_CASE("radiation: impedance over frequency, and steps of several lengths") {
  // Levine & Schwinger (1948), |R| and l/a from their integrals evaluated independently;
  // R = -|R| exp(-2 i ka l/a). Bounds: what the fit promises (radiation.hpp), and as much again for
  // 40 steps a period.
  struct Row {
    double ka, R, length;
  };
  for (const Row& row :
       {Row{0.1, 0.995067, 0.610987}, Row{0.5, 0.896441, 0.581836}, Row{1.0, 0.695102, 0.527431}}) {
    for (const bool uneven : {false, true}) {
      const double omega = row.ka * c_outside / radius;
      const double even = 2 * std::numbers::pi / omega / 40;
      Radiation end(radius, p_outside);
      std::complex<double> p = 0;
      std::complex<double> U = 0;
      double begin = 0;
      for (int i = 0; i < 4000; ++i) {
        const double dt = even * (uneven ? (i % 2 == 0 ? 1.1 : 0.9) : 1.0);
        const double t = begin + 0.5 * dt;
        const double velocity = std::sin(omega * t);
        const double pressure = step(end, velocity, dt, rho);
        if (i >= 2000) {
          const auto turn = std::polar(dt, -omega * t);
          p += pressure * turn;
          U += velocity * turn;
        }
        begin += dt;
      }
      const std::complex<double> Z = p / U / (rho * c_outside);
      const std::complex<double> R = (Z - 1.0) / (Z + 1.0);
      CAPTURE(row.ka);
      CHECK(near(std::abs(R), row.R, 0.03));
      CHECK(near(-std::arg(-R) / (2 * row.ka), row.length, 0.05));
    }
  }
}

TEST_CASE("radiation: the gas outside is flushed by what passes the end") {
  // After the flow has moved 0.6133 a the old gas is mostly gone, exp(-1) of it or less.
  Radiation end(radius, p_outside);
  step(end, 0, 1e-5);
  constexpr double heavy = 1.2;
  const double distance = 0.6133 * radius;
  for (int i = 0; i < 100; ++i) step(end, -20, distance / 20 / 100, heavy);
  // Without flow nothing is flushed; the impedance at short steps goes with rho c.
  const auto impedance = [](Radiation& of) {
    step(of, 0, 1e-9);
    return of.load(rho, air_gamma, 1e-9).impedance;
  };
  const double after = impedance(end);
  Radiation fresh(radius, p_outside);
  const double light = impedance(fresh);
  const double density = rho * std::pow(after / light, 2);
  CHECK(near((heavy - density) / (heavy - rho), std::exp(-1.0), 0.01));
}

}  // namespace pulsewright::tests
