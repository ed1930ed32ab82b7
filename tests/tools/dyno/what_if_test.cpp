#include "tools/dyno/what_if.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <stdexcept>

#include "cases/quantity.hpp"
#include "tests/near.hpp"
#include "tools/dyno/what_if_text.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using pulsewright::tests::near;

// t = 100 - 2 (x - 0.02)^2 / 0.01 at -0.1, 0 and 0.1: the top is at 0.02.
TEST_CASE("what if: the top of a parabola and its resolution") {
  const auto t = [](double x) { return 100 - 200 * (x - 0.02) * (x - 0.02); };
  const auto top = top_of_parabola(t(-0.1), t(0), t(0.1), 0.1, 0.02);
  REQUIRE(top.has_value());
  CHECK(near(top->shift, 0.02, 1e-9, 0));
  // Each value moved by the noise, by itself: the root of the sum of squares.
  double squares = 0;
  for (int k = 0; k < 3; ++k) {
    const double d = 1e-6;
    const auto moved = top_of_parabola(t(-0.1) + (k == 0 ? d : 0), t(0) + (k == 1 ? d : 0),
                                       t(0.1) + (k == 2 ? d : 0), 0.1, 0);
    REQUIRE(moved.has_value());
    squares += std::pow((moved->shift - top->shift) / d * 0.02, 2);
  }
  CHECK(near(top->resolution, std::sqrt(squares), 1e-4, 0));
  CHECK(!top_of_parabola(2, 1, 2, 0.1, 0));    // opens upward
  CHECK(!top_of_parabola(1, 2, 2.9, 0.1, 0));  // the top lies far beyond
  CHECK(!top_of_parabola(1, 2, 3, 0.1, 0));    // a straight line
}

TEST_CASE("what if: changes as keys of the case") {
  const Change high = altitude_change("3000 m");
  REQUIRE(high.overrides.size() == 2);
  // U.S. Standard Atmosphere 1976: 70121 Pa at 3000 m (geopotential 70109).
  CHECK(near(cases::parse_quantity(high.overrides[1].value, cases::Dimension::pressure), 70109,
             1e-4, 0));
  CHECK(high.overrides[0].value.empty());
  CHECK_THROWS_AS(altitude_change("3000"), cases::QuantityError);
  CHECK_THROWS_AS(temperature_change("3 mm"), cases::QuantityError);
  CHECK(fuel_change("e85").fuel);
  const Change both = together({high, fuel_change("e85")});
  CHECK(both.words == "altitude 3000 m, e85");
  CHECK(both.fuel);
  // Two of the altitude; the fuel, and the seven keys that describe one by hand.
  REQUIRE(both.overrides.size() == 10);
  CHECK(both.overrides.back().key == "combustion.molar_mass");
}

TEST_CASE("what if: air and fuel of a coarse cylinder, and where there is no best length") {
  const auto case_file =
      cases::read_case_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  WhatIfOptions options;
  options.header = "0.8 m";
  options.speeds = {80};
  options.cell_size = 0.05;
  const WhatIf w =
      what_if(case_file, {altitude_change("1000 m"), fuel_change("methanol")}, options);
  REQUIRE(w.changes.size() == 2);
  CHECK(near(w.length, 0.8, 1e-12, 0));
  // 1000 m: 89875 Pa; J1349 of dry air at 20 degC from there and from 101325 Pa.
  const double before = 1.18 * (99.0 / 101.325) * std::sqrt(293.0 / 298) - 0.18;
  const double after = 1.18 * (99.0 / 89.875) * std::sqrt(293.0 / 298) - 0.18;
  REQUIRE(w.changes[0].sae_j1349.has_value());
  CHECK(near(*w.changes[0].sae_j1349, before / after - 1, 1e-3, 0));
  // The simulated loss is that of the standard within a fifth of it.
  CHECK(near(w.changes[0].change, *w.changes[0].sae_j1349, 0.2, 0));
  CHECK(!w.changes[1].sae_j1349.has_value());
  CHECK(w.changes[1].change > 0);
  options.header = "megaphone";
  const WhatIf network = what_if(case_file, {humidity_change("0.5")}, options);
  CHECK(network.length == 0);
  CHECK(!network.base.best.has_value());
  const auto says = [](const WhatIf& of, const char* words) {
    const std::string text = what_if_text(of, UnitSystem::metric);
    return text.find(words) != std::string::npos;
  };
  CHECK(says(network, "The best length of the primaries is not known: a network has no primaries"));
  // A fuel brings a mixture of its own.
  CHECK(says(network, "Spark, mixture and everything else stay"));
  CHECK(says(w, "Spark and everything else stay"));
}

TEST_CASE("what if: a case without a speed in its band is refused") {
  auto case_file =
      cases::read_case_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  case_file.run.band_from = case_file.run.band_to = 75.5;  // 4530 rpm, between two of its speeds
  WhatIfOptions options;
  options.header = "0.8 m";
  CHECK_THROWS_AS(what_if(case_file, {humidity_change("0.5")}, options), std::invalid_argument);
}
