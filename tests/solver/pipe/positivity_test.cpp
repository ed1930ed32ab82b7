// Near vacuum the gas stays computable; where it is not, the fault names pipe and place.
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <string>

#include "solver/gas/fault.hpp"
#include "tests/near.hpp"
#include "validation/rig/tube.hpp"

using namespace pulsewright::solver;
using namespace pulsewright::tests;
using namespace pulsewright::validation;

namespace {

// Two streams that part at speed u; vacuum forms beyond u = 3.742 (Toro (2009), eq. (4.40)).
Pipe parting(const Gas& gas, double u, std::size_t cells = 200) {
  Pipe d = straight_pipe(cells);
  d.has_walls = false;
  d.fill(gas, [=](double x) { return Primitive<double>{1.0, x < 0.5 ? -u : u, 0.4, 0.0}; });
  return d;
}

void check_positive(const Pipe& d) {
  for (std::size_t i = 0; i < d.cells(); ++i) {
    CHECK(d.state(i).rho > 0);
    CHECK(d.state(i).p > 0);
  }
}

}  // namespace

TEST_CASE_TEMPLATE("parting streams stay positive up to the Courant number 1", Limiter,
                   LimiterMonotonizedCentral, LimiterVanLeer, LimiterMinmod, LimiterFlat) {
  const Gas gas = gas_of_constant_gamma(1.4);
  for (const double courant : {0.45, 0.8, 0.99}) {
    CAPTURE(courant);
    for (const double u : {2.0, 3.0, 3.6, 4.5}) {  // the last makes vacuum
      CAPTURE(u);
      Pipe d = parting(gas, u);
      const double mass = d.mass();
      const Run result = run<FluxHllc, Limiter>(d, gas, 0.05, EndsTransmissive{gas}, courant);
      CHECK(result.steps > 20);
      CHECK(d.mass() < mass);
      check_positive(d);
    }
  }
}

TEST_CASE("a shock into almost nothing stays positive") {
  const Gas gas = gas_of_constant_gamma(1.4);
  Pipe d = straight_pipe(200);
  d.fill(gas, [](double x) {
    return x < 0.5 ? Primitive<double>{1, 0, 1, 0} : Primitive<double>{1e-6, 0, 1e-6, 0};
  });
  run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 0.05, EndsTransmissive{gas});
  check_positive(d);
}

TEST_CASE("the first-order fallback near vacuum reports itself, and does not act elsewhere") {
  const Gas gas = gas_of_constant_gamma(1.4);
  Pipe thin = parting(gas, 3.6);
  CHECK(run<FluxHllc, LimiterMonotonizedCentral>(thin, gas, 0.05, EndsTransmissive{gas})
            .fallback_steps > 0);
  Pipe sod = straight_pipe(200);
  sod.fill(gas, [](double x) {
    return x < 0.5 ? Primitive<double>{1, 0, 1, 0} : Primitive<double>{0.125, 0, 0.1, 0};
  });
  CHECK(run<FluxHllc, LimiterMonotonizedCentral>(sod, gas, 0.2, EndsTransmissive{gas})
            .fallback_steps == 0);
}

TEST_CASE("the first-order fallback conserves") {
  const Gas gas = gas_of_constant_gamma(1.4);
  Pipe d = parting(gas, 3.6);
  const double mass = d.mass();
  const double energy = d.energy();
  const Run result = run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 0.3, EndsWall{gas});
  CHECK(result.fallback_steps > 0);
  CHECK(near(d.mass(), mass, 1e-13));
  CHECK(near(d.energy(), energy, 1e-13));
}

TEST_CASE("gas that can not be computed is a fault with pipe, place and value") {
  const Gas gas = gas_of_constant_gamma(1.4, 287.05);
  const auto filled = [&](const Primitive<double>& bad) {
    Pipe d("secondary 2", 1.0, 10, [](double) { return 0.04; }, {0.0, 1.0});
    d.fill(gas, [&](double x) {
      return x > 0.6 && x < 0.7 ? bad : Primitive<double>{1.2, 0.0, 1e5, 0.0};
    });
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto message_of = [&](const Primitive<double>& bad) -> std::string {
    try {
      filled(bad);
    } catch (const Fault& fault) {
      CHECK(fault.part() == "secondary 2");
      CHECK(near(fault.place(), 0.65, 1e-12));
      return fault.what();
    }
    return "no fault";
  };
  CHECK(message_of({-1.0, 0.0, 1e5, 0.0})
            .starts_with("in 'secondary 2' at 0.650000 m: density in kg/m3 = -1"));
  CHECK(message_of({1.2, 0.0, -1e5, 0.0}).find("temperature in K = -290") != std::string::npos);
  CHECK(message_of({nan, 0.0, 1e5, 0.0}).find("density in kg/m3 = ") != std::string::npos);
  CHECK(message_of({1.2, nan, 1e5, 0.0}) != "no fault");
  CHECK(message_of({1.2, 2e5, 1e5, 0.0}).find("velocity in m/s = 200000") != std::string::npos);
  CHECK(message_of({1.2, 0.0, 1e5, 0.0}) == "no fault");
}

TEST_CASE("a wave speed beyond all measure is a fault at its own place") {
  // Sound faster than 1e5 m/s: the gas would be at some 25 million K.
  const Gas gas = gas_of_constant_gamma(1.4, 287.05);
  Pipe d("primary 1", 1.0, 10, [](double) { return 0.04; }, {0.0, 1.0});
  try {
    d.fill(gas, [](double x) {
      return Primitive<double>{1.2, 0.0, x > 0.6 && x < 0.7 ? 1e11 : 1e5, 0.0};
    });
    FAIL("no fault");
  } catch (const Fault& fault) {
    CHECK(std::string(fault.what()).find("wave speed in m/s") != std::string::npos);
    CHECK(near(fault.place(), 0.65, 1e-12));
  }
}
