// Power correction against worked values of its formulas, computed apart from this program with
// water at e_s = 0.6108 kPa exp(17.27 t / (t + 237.3)).
#include "models/dyno/power_correction.hpp"

#include <doctest/doctest.h>
#include <stdexcept>

#include "cases/weather.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using models::PowerCorrection;
using models::TestAir;
using tests::near;

namespace {

struct Worked {
  double pressure, celsius, humidity;  // kPa, degC, part of saturation
  double sae_j1349, iso_1585, din_70020, sae_j607;
};

constexpr Worked worked[] = {
    {101.325, 25, 0, 0.972924, 0.972528, 1.008248, 1.016182},
    {99, 25, 0, 1.000000, 1.000000, 1.031926, 1.040047},
    {98, 30, 0.5, 1.048597, 1.049622, 1.051165, 1.082876},
    {95, 20, 0.4, 1.051449, 1.052546, 1.066316, 1.085398},
    {83, 15, 0.3, 1.212235, 1.219541, 1.210023, 1.227121},
    {101.3, 20, 0, 0.963493, 0.962990, 1.000000, 1.007874},
};

TestAir air_of(const Worked& row) {
  const double T = row.celsius + 273.15;
  const double pressure = 1e3 * row.pressure;
  return {pressure, T, row.humidity * cases::saturation_pressure(T)};
}

}  // namespace

// The tolerance: absolute zero at -273 or -273.15 degC moves a factor by 2e-4.
TEST_CASE("power correction: worked values of every standard") {
  for (const Worked& row : worked) {
    CAPTURE(row.pressure);
    CAPTURE(row.celsius);
    const TestAir air = air_of(row);
    CHECK(near(correction_factor(PowerCorrection::sae_j1349, air), row.sae_j1349, 1e-4, 0));
    CHECK(near(correction_factor(PowerCorrection::iso_1585, air), row.iso_1585, 1e-4, 0));
    CHECK(near(correction_factor(PowerCorrection::din_70020, air), row.din_70020, 1e-4, 0));
    CHECK(near(correction_factor(PowerCorrection::sae_j607, air), row.sae_j607, 1e-4, 0));
    CHECK(correction_factor(PowerCorrection::none, air) == 1);
  }
}

TEST_CASE("power correction: one in the standard's own air, and there and back again") {
  // 298 and 293 K as the standards print them, absolute zero at -273 degC.
  CHECK(near(correction_factor(PowerCorrection::sae_j1349, {99e3, 298.15, 0}), 1, 1e-12, 0));
  CHECK(near(correction_factor(PowerCorrection::iso_1585, {99e3, 298.15, 0}), 1, 1e-12, 0));
  CHECK(near(correction_factor(PowerCorrection::din_70020, {101300, 293.15, 0}), 1, 1e-12, 0));
  // 29.92 inHg, 60 degF.
  CHECK(near(correction_factor(PowerCorrection::sae_j607, {101320.5, 288.70556, 0}), 1, 1e-6, 0));
  const TestAir air{95e3, 300, 1500};
  for (const auto from :
       {PowerCorrection::none, PowerCorrection::sae_j1349, PowerCorrection::iso_1585,
        PowerCorrection::sae_j607, PowerCorrection::din_70020}) {
    for (const auto to : {PowerCorrection::none, PowerCorrection::sae_j1349,
                          PowerCorrection::iso_1585, PowerCorrection::sae_j607}) {
      const double there = correction_between(from, to, air);
      CHECK(near(there * correction_between(to, from, air), 1, 1e-14, 0));
      CHECK(near(there * correction_factor(from, air), correction_factor(to, air), 1e-14, 0));
    }
  }
}

// SAE J1349 in its restatement by inHg and degF: 1.18 (29.23 / p_d) sqrt((t_F + 460) / 537) - 0.18.
// (29.23 and 537 are rounded: 29.235 inHg, 536.4 degF + 460.)
TEST_CASE("power correction: the restatement in inches of mercury") {
  const TestAir air{28.5 * 3386.38, (86.0 - 32) / 1.8 + 273.15, 0};
  const double restated = 1.18 * (29.235 / 28.5) * std::sqrt((86.0 + 460) / 537) - 0.18;
  CHECK(near(correction_factor(PowerCorrection::sae_j1349, air), restated, 5e-4, 0));
}

TEST_CASE("power correction: moist air counts as its dry part, but not with DIN 70020") {
  const TestAir dry{95e3, 298.15, 0};
  const TestAir moist{97e3, 298.15, 2e3};
  for (const auto standard :
       {PowerCorrection::sae_j1349, PowerCorrection::iso_1585, PowerCorrection::sae_j607}) {
    CHECK(near(correction_factor(standard, moist), correction_factor(standard, dry), 1e-12, 0));
  }
  CHECK(correction_factor(PowerCorrection::din_70020, moist) <
        correction_factor(PowerCorrection::din_70020, dry));
}

TEST_CASE("power correction: ranges, and air that is none") {
  CHECK(correction_holds(PowerCorrection::sae_j1349, {99e3, 298.15, 0}));
  CHECK(!correction_holds(PowerCorrection::sae_j1349, {83e3, 288.15, 0}));
  CHECK(!correction_holds(PowerCorrection::iso_1585, {99e3, 310, 0}));     // beyond 35 degC
  CHECK(!correction_holds(PowerCorrection::iso_1585, {91e3, 298.15, 0}));  // factor beyond 1.07
  CHECK(correction_holds(PowerCorrection::sae_j607, {70e3, 320, 0}));      // names no range
  CHECK_THROWS_AS(correction_factor(PowerCorrection::iso_1585, {2000, 298, 2500}),
                  std::invalid_argument);
  CHECK_THROWS_AS(correction_factor(PowerCorrection::sae_j607, {99e3, 0, 0}),
                  std::invalid_argument);
}
