// Sizes by the hand rules, against what a header shop would pick.
#include "models/sizing/engine_sizes.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <stdexcept>
#include <string>

#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::models;
using pulsewright::tests::inch;
using pulsewright::tests::near;

namespace {
// An invented V8 of 6.2 litres with 330 cfm heads, whose exhaust valves open 50 deg BBDC.
SizingInput shop_engine() {
  SizingInput input;
  input.cylinders = 8;
  input.cylinder_volume = 6.2e-3 / 8;
  input.band_from = 5800 / 60.0;
  input.band_to = 7200 / 60.0;
  input.torque_peak = 5800 / 60.0;
  input.exhaust_opens_deg = 50;
  input.exhaust_period_deg = 270;
  input.power = 685 * 745.69987158;
  input.tubes_of_collector = 4;
  return input;
}

}  // namespace

TEST_CASE("the shop's engine gets the shop's tubes and lengths") {
  const EngineSizes sizes = engine_sizes(shop_engine());
  // Common practice, no source: 2 to 2-1/8 in at 680 to 690 hp; 30.8 in down to 24.1 in.
  REQUIRE(sizes.primary != nullptr);
  CHECK((sizes.primary->outside == "2 in" || sizes.primary->outside == "2-1/8 in"));
  CHECK(near(sizes.longest, 30.8 * inch, 0, 0.2 * inch));
  CHECK(near(sizes.shortest, 24.1 * inch, 0, 0.2 * inch));
  CHECK(sizes.middle > sizes.shortest);
  CHECK(sizes.middle < sizes.longest);
  // 1.7 to 2.0 times the outside diameter of the tubes: a 3-1/2 or 4 in collector.
  REQUIRE(sizes.collector != nullptr);
  const double ratio = sizes.collector->bore() / sizes.primary->outside_diameter;
  CHECK(ratio > 1.65);
  CHECK(ratio < 2.0);
  CHECK(sizes.needed_intake_flow > 0);
}

TEST_CASE("the table of stock holds the chosen tube and its neighbours") {
  const SizingInput input = shop_engine();
  const EngineSizes sizes = engine_sizes(input);
  REQUIRE(sizes.stock.size() == 5);
  CHECK(sizes.stock[2].tube == sizes.primary);
  for (const StockRow& row : sizes.stock) {
    CAPTURE(row.tube->outside);
    // 245 ft/s at the speed of the rule; faster gas in a smaller tube.
    CHECK(near(row.gas_speed * row.torque_peak / input.torque_peak, 245 * 0.3048, 1e-9, 0));
    CHECK(row.in_range == gas_speed_at_torque_peak.holds(row.gas_speed));
  }
  CHECK(sizes.stock[0].gas_speed > sizes.stock[4].gas_speed);
}

TEST_CASE("a larger engine gets a larger tube, a faster one a shorter") {
  const EngineSizes sizes = engine_sizes(shop_engine());
  SizingInput larger = shop_engine();
  larger.cylinder_volume *= 1.3;
  larger.power *= 1.3;
  CHECK(engine_sizes(larger).primary->outside_diameter > sizes.primary->outside_diameter);
  SizingInput faster = shop_engine();
  faster.band_from *= 1.2;
  faster.band_to *= 1.2;
  CHECK(engine_sizes(faster).longest < sizes.longest);
  CHECK(engine_sizes(faster).shortest < sizes.shortest);
}

TEST_CASE("a single has no collector, and three tubes get a smaller one than four") {
  SizingInput input = shop_engine();
  input.tubes_of_collector = 1;
  CHECK(engine_sizes(input).collector == nullptr);
  CHECK(engine_sizes(input).collector_bores.empty());
  input.tubes_of_collector = 3;
  CHECK(engine_sizes(input).collector->outside_diameter <
        engine_sizes(shop_engine()).collector->outside_diameter);
}

TEST_CASE("sizes of an engine that cannot be") {
  const auto refused = [](void (*change)(SizingInput&)) {
    SizingInput input = shop_engine();
    change(input);
    CHECK_THROWS_AS(engine_sizes(input), std::invalid_argument);
  };
  refused([](SizingInput& input) { input.cylinders = 0; });
  refused([](SizingInput& input) { input.cylinder_volume = 0; });
  refused([](SizingInput& input) { input.power = std::numeric_limits<double>::quiet_NaN(); });
  refused([](SizingInput& input) { input.band_to = input.band_from; });
  refused([](SizingInput& input) { input.torque_peak = -1; });
  // 850 (180 + 50) / rpm - 3 in is nothing at 65,167 rpm.
  refused([](SizingInput& input) { input.band_to = 66000 / 60.0; });
}
