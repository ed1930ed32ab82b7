// Numerical fluxes and limiters: consistency, mirror symmetry to the last bit, packs against
// doubles.
#include "solver/riemann/fluxes.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <random>
#include <vector>

#include "solver/gas/thermodynamics.hpp"
#include "solver/pipe/limiters.hpp"
#include "tests/near.hpp"
#include "validation/rig/tube.hpp"

using namespace pulsewright::solver;
using namespace pulsewright::tests;
using namespace pulsewright::validation;

namespace {

// Gases that differ in what the flux must get right: gamma, R, cv that rises with T.
std::vector<Gas> gases() {
  return {gas_of_constant_gamma(1.4), gas_of_constant_gamma(1.33, 290.0),
          gas_of_two_gammas(1.4, 287.05, 1.30, 290.0), air_and_products(1.87)};
}

// States of an exhaust pipe and beyond: Mach -3 to 3, cold and hot, fixed seed.
class States {
 public:
  Primitive<double> next(const Gas& gas) {
    const double Y = unit_(random_);
    const double T = 250.0 + 1500.0 * unit_(random_);
    const double p = 2e4 * std::pow(50.0, unit_(random_));
    const double mach = 6.0 * unit_(random_) - 3.0;
    return {p / (gas.gas_constant(Y) * T), mach * gas.sound_speed(T, Y), p, Y};
  }

 private:
  std::mt19937_64 random_{12345};
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
};

Primitive<double> mirrored(const Primitive<double>& w) { return {w.rho, -w.u, w.p, w.Y}; }

bool same_bits(const Flux<double>& a, const Flux<double>& b) {
  return a.mass == b.mass && a.momentum == b.momentum && a.energy == b.energy && a.burnt == b.burnt;
}

template <class NumericalFlux>
void check_upwind(const Gas& gas) {
  // Supersonic to the right: the left state flows through, whatever stands at the right.
  const Primitive<double> l{1.0, 5.0 * gas.sound_speed(300.0, 0.0), gas.gas_constant(0.0) * 300.0,
                            0.0};
  Primitive<double> r = l;
  r.p *= 0.7;
  r.rho *= 0.9;
  const Flux<double> f = NumericalFlux::between(gas, l, r);
  const Flux<double> exact = physical_flux(gas, l);
  CHECK(near(f.mass, exact.mass, 1e-14));
  CHECK(near(f.momentum, exact.momentum, 1e-14));
  CHECK(near(f.energy, exact.energy, 1e-14));
}

}  // namespace

TEST_CASE("physical flux: written out for one state") {
  // rho u, rho u^2 + p, u (rho E + p) with E = p / (rho (gamma - 1)) + u^2 / 2: Toro (2009), eqs
  // (1.98) and (1.99), by hand for (2, 3, 4, Y = 0.25), gamma 1.4: 6, 22, 3 (10 + 9 + 4), 1.5.
  const Flux<double> f =
      physical_flux(gas_of_constant_gamma(1.4), Primitive<double>{2.0, 3.0, 4.0, 0.25});
  CHECK(near(f.mass, 6.0, 1e-15));
  CHECK(near(f.momentum, 22.0, 1e-15));
  CHECK(near(f.energy, 69.0, 1e-14));
  CHECK(near(f.burnt, 1.5, 1e-15));
}

TEST_CASE_TEMPLATE("flux of two equal states is the physical flux", NumericalFlux, FluxHllc,
                   FluxHll) {
  for (const Gas& gas : gases()) {
    States states;
    for (int k = 0; k < 2000; ++k) {
      const Primitive<double> w = states.next(gas);
      const Flux<double> f = NumericalFlux::between(gas, w, w);
      const Flux<double> exact = physical_flux(gas, w);
      // Absolute parts: round-off of the wave speeds where the gas is almost at rest.
      const double c = gas.sound_speed(temperature_of(gas, w), w.Y);
      CHECK(near(f.mass, exact.mass, 1e-13, 1e-13 * w.rho * c));
      CHECK(near(f.momentum, exact.momentum, 1e-13));
      CHECK(near(f.energy, exact.energy, 1e-13, 1e-12 * w.p * c));
      CHECK(near(f.burnt, exact.burnt, 1e-13, 1e-13 * w.rho * c));
    }
    const Primitive<double> rest{1.1, 0.0, 1e5, 0.3};
    CHECK(same_bits(NumericalFlux::between(gas, rest, rest), {0.0, 1e5, 0.0, 0.0}));
  }
}

TEST_CASE_TEMPLATE("supersonic flux is the one of the upwind side", NumericalFlux, FluxHllc,
                   FluxHll) {
  for (const Gas& gas : gases()) check_upwind<NumericalFlux>(gas);
}

TEST_CASE_TEMPLATE("mirrored states give the mirrored flux to the last bit", NumericalFlux,
                   FluxHllc, FluxHll) {
  for (const Gas& gas : gases()) {
    States states;
    int unequal = 0;
    for (int k = 0; k < 5000; ++k) {
      const Primitive<double> l = states.next(gas);
      const Primitive<double> r = states.next(gas);
      const Flux<double> f = NumericalFlux::between(gas, l, r);
      const Flux<double> m = NumericalFlux::between(gas, mirrored(r), mirrored(l));
      if (!same_bits(m, {-f.mass, f.momentum, -f.energy, -f.burnt})) ++unequal;
    }
    CHECK(unequal == 0);
  }
}

TEST_CASE_TEMPLATE("flux of a pack equals the flux of its doubles bit for bit", NumericalFlux,
                   FluxHllc, FluxHll) {
  for (const Gas& gas : gases()) {
    States states;
    for (int round = 0; round < 500; ++round) {
      std::vector<Primitive<double>> l;
      std::vector<Primitive<double>> r;
      Primitive<Pack> pack_l;
      Primitive<Pack> pack_r;
      for (std::size_t k = 0; k < Pack::size(); ++k) {
        l.push_back(states.next(gas));
        r.push_back(states.next(gas));
        pack_l.rho[k] = l[k].rho, pack_l.u[k] = l[k].u, pack_l.p[k] = l[k].p, pack_l.Y[k] = l[k].Y;
        pack_r.rho[k] = r[k].rho, pack_r.u[k] = r[k].u, pack_r.p[k] = r[k].p, pack_r.Y[k] = r[k].Y;
      }
      const Flux<Pack> f = NumericalFlux::between(gas, pack_l, pack_r);
      for (std::size_t k = 0; k < Pack::size(); ++k) {
        const Flux<double> one = NumericalFlux::between(gas, l[k], r[k]);
        CHECK(same_bits({f.mass[k], f.momentum[k], f.energy[k], f.burnt[k]}, one));
      }
    }
  }
}

TEST_CASE("HLLC: an isolated contact and a wall-like face are exact") {
  const Gas gas = air_and_products(1.87);
  // Contact at rest between gases of different density and composition.
  CHECK(same_bits(
      FluxHllc::between(gas, Primitive<double>{1.2, 0, 1e5, 0}, Primitive<double>{0.4, 0, 1e5, 1}),
      {0.0, 1e5, 0.0, 0.0}));
  // A state against its mirror image lets nothing through.
  const Flux<double> f = FluxHllc::between(gas, Primitive<double>{1.2, 80, 1.1e5, 0.5},
                                           Primitive<double>{1.2, -80, 1.1e5, 0.5});
  CHECK(f.mass == 0.0);
  CHECK(f.energy == 0.0);
  CHECK(f.momentum > 1.1e5);
  // The burnt fraction comes from the side the gas comes from.
  const Flux<double> from_left = FluxHllc::between(gas, Primitive<double>{1.2, 80, 1e5, 0.75},
                                                   Primitive<double>{1.2, 80, 1e5, 0.25});
  CHECK(from_left.burnt == 0.75 * from_left.mass);
}

TEST_CASE_TEMPLATE("limiters: symmetric, total variation diminishing, second order where smooth",
                   Limiter, LimiterMonotonizedCentral, LimiterMinmod, LimiterVanLeer) {
  std::mt19937_64 random{777};
  std::normal_distribution<double> normal;
  int asymmetric = 0;
  int outside = 0;
  for (int k = 0; k < 5000; ++k) {
    const double a = normal(random);
    const double b = normal(random);
    const double s = Limiter::slope(a, b);
    if (s != Limiter::slope(b, a) || Limiter::slope(-a, -b) != -s) ++asymmetric;
    // Sweby's region: no slope at an extremum, never more than twice the smaller difference.
    if (a * b <= 0 ? s != 0 : (s * a < 0 || std::abs(s) > 2 * std::fmin(std::abs(a), std::abs(b))))
      ++outside;
  }
  CHECK(asymmetric == 0);
  CHECK(outside == 0);
  CHECK(near(Limiter::slope(0.7, 0.7), 0.7, 1e-15));
  CHECK(Limiter::slope(0.0, 1.0) == 0.0);
}

TEST_CASE("limiters: by hand") {
  // Monotonized central: min(|a + b| / 2, 2 |a|, 2 |b|); van Leer: 2 a b / (a + b); minmod: the
  // smaller. van Leer (1977), van Leer, J. Comput. Phys. 14 (1974) 361; Toro (2009), section 13.7.
  CHECK(LimiterMonotonizedCentral::slope(1.0, 2.0) == 1.5);
  CHECK(LimiterMonotonizedCentral::slope(1.0, 9.0) == 2.0);
  CHECK(LimiterMonotonizedCentral::slope(-1.0, -9.0) == -2.0);
  CHECK(near(LimiterVanLeer::slope(1.0, 3.0), 1.5, 1e-15));
  CHECK(LimiterMinmod::slope(1.0, 3.0) == 1.0);
  CHECK(LimiterFlat::slope(1.0, 1.0) == 0.0);
}

TEST_CASE_TEMPLATE("limiter of a pack equals the limiter of its doubles bit for bit", Limiter,
                   LimiterMonotonizedCentral, LimiterMinmod, LimiterVanLeer, LimiterFlat) {
  std::mt19937_64 random{99};
  std::normal_distribution<double> normal;
  for (int round = 0; round < 500; ++round) {
    Pack a;
    Pack b;
    for (std::size_t k = 0; k < Pack::size(); ++k) {
      a[k] = round % 7 == 0 && k == 0 ? 0.0 : normal(random);
      b[k] = normal(random);
    }
    const Pack s = Limiter::slope(a, b);
    for (std::size_t k = 0; k < Pack::size(); ++k) {
      const double one = Limiter::slope(double(a[k]), double(b[k]));
      CHECK(s[k] == one);
    }
  }
}
