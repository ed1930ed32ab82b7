// The hand rules against the worked examples of their sources.
#include "models/sizing/hand_rules.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <string>

#include "models/sizing/tube_stock.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::models;
using pulsewright::tests::inch;
using pulsewright::tests::near;

namespace {

constexpr double cubic_inch = inch * inch * inch;
constexpr double foot = 0.3048;
constexpr double horsepower = 745.69987158;
constexpr double cfm = foot * foot * foot / 60;

}  // namespace

TEST_CASE("every hand rule says its formula, its source and its range") {
  REQUIRE(hand_rules().size() > 10);
  for (const HandRuleRow& row : hand_rules()) {
    CAPTURE(row.name);
    CHECK(&row_of(row.rule) == &row);
    CHECK(!row.formula.empty());
    CHECK(!row.range.empty());
    // Without a publication it says so.
    CHECK((row.basis == RuleBasis::common_practice) ==
          (row.source == "common practice, no source"));
  }
}

TEST_CASE("the rule for tube size has its worked examples") {
  // Car Craft, "Header Basics": 350 in3 V8 at 4500 rpm, 2.232 in2; a four of 30.51 in3 per cylinder
  // at 5500 rpm, 1.9026 in2.
  CHECK(near(60 * torque_peak_of_area(2.232143 * inch * inch, 350 / 8.0 * cubic_inch), 4500, 1e-6,
             0));
  CHECK(near(60 * torque_peak_of_area(1.902551 * inch * inch, 30.51 * cubic_inch), 5500, 1e-5, 0));
}

TEST_CASE("the mean gas speed of that rule is 245 ft/s at its torque peak") {
  // v[ft/s] = rpm V[in3] / (360 A[in2]) and rpm = 88,200 A / V, so v = 88,200 / 360.
  const double area = 2 * inch * inch;
  const double volume = 40 * cubic_inch;
  const double peak = torque_peak_of_area(area, volume);
  CHECK(near(mean_gas_speed(peak, volume, area), 88200 / 360.0 * foot, 1e-12, 0));
  // By hand: 6000 rpm, 44 in3, 2.39156 in2: 306.6 ft/s.
  CHECK(near(mean_gas_speed(100, 44 * cubic_inch, 2.39156 * inch * inch), 306.63 * foot, 1e-4, 0));
}

TEST_CASE("the rule for length has its worked examples") {
  // Bell (1981): length, bore, secondary and collector for an exhaust valve opening, a speed and a
  // cylinder.
  const struct {
    double opens, rpm, cc, length, bore, secondary, collector;
  } rows[] = {{70, 7000, 500, 27.35714, 1.70453, 2.24183, 2.29578},
              {80, 6500, 712.5, 31.0, 1.92266, 2.52872, 2.58957},
              {60, 6000, 500, 31.0, 1.61063, 2.11833, 2.16930},
              {78, 8500, 250, 22.8, 1.30740, 1.71952, 1.76090}};
  for (const auto& row : rows) {
    CAPTURE(row.rpm);
    CHECK(near(60 * speed_of_length(row.length * inch, row.opens), row.rpm, 1e-6, 0));
    CHECK(near(length_of_speed(row.rpm / 60, row.opens), row.length * inch, 1e-6, 0));
    CHECK(near(bore_of_length(row.length * inch, row.cc * 1e-6), row.bore * inch, 1e-5, 0));
    CHECK(near(secondary_bore(row.bore * inch), row.secondary * inch, 1e-5, 0));
    CHECK(
        near(collector_of_length(row.length * inch, row.cc * 1e-6), row.collector * inch, 1e-5, 0));
  }
}

TEST_CASE("a sweet spot of 5800 to 7200 rpm asks for 30.8 down to 24.1 in") {
  // Common practice, no source: exhaust valve opening 50 deg before bottom dead centre; to 0.2 in.
  CHECK(near(length_of_speed(5800 / 60.0, 50), 30.8 * inch, 0, 0.2 * inch));
  CHECK(near(length_of_speed(7200 / 60.0, 50), 24.1 * inch, 0, 0.2 * inch));
}

TEST_CASE("heads that flow 330 cfm make about 680 hp of eight cylinders") {
  // Common practice, no source: 0.257 hp for each cfm at 28 inH2O.
  CHECK(near(8 * power_of_flow(330 * cfm) / horsepower, 8 * 0.257 * 330, 1e-9, 0));
  CHECK(near(8 * power_of_flow(330 * cfm) / horsepower, 680, 0.01, 0));
  // The same rule with a restated constant: 250 cfm, 514 hp.
  CHECK(near(8 * power_of_flow(250 * cfm) / horsepower, 514, 1e-3, 0));
  CHECK(near(flow_of_power(power_of_flow(0.1)), 0.1, 1e-12, 0));
}

TEST_CASE("680 to 690 hp of eight cylinders ask for tube of 2 to 2-1/8 in") {
  // Common practice, no source: never under 2 in, never over 2-1/4 in.
  const Range tube = tube_of_power(685 * horsepower / 8);
  CHECK(near(tube.least, 2 * inch, 1e-12, 0));
  CHECK(near(tube.most, 2.125 * inch, 1e-12, 0));
  // More power, larger tube.
  CHECK(tube_of_power(800 * horsepower / 8).least > tube.least);
  CHECK(tube_of_power(400 * horsepower / 8).most < tube.least);
}

TEST_CASE("collectors and necks of a 1-3/4 in header") {
  // Common practice, no source: 1.75 in tubes have collectors of 3.0 to 3.5 in.
  const Range collector = collector_of_tube(1.75 * inch);
  CHECK(near(collector.least, 2.975 * inch, 1e-12, 0));
  CHECK(near(collector.most, 3.5 * inch, 1e-12, 0));
  CHECK(near(merge_neck_of_tube(1.75 * inch).middle(), 2.45 * inch, 1e-12, 0));
}

TEST_CASE("length by the exhaust period") {
  // Fukuda & Izumi (1965) with k = 1: c 600 m/s, 260 deg, 6000 rpm, 2.166667 m.
  CHECK(near(length_of_period(600, 260, 100), 2.166667, 1e-6, 0));
}

TEST_CASE("stock tube has the bores and areas of its tables") {
  // ASTM A500/A513 table: outside diameter, bore of 16 and 18 gauge, in; area of 16 gauge, in2.
  const struct {
    double outside, bore, bore_18;
  } rows[] = {{1.5, 1.370, 1.402},   {1.625, 1.495, 1.527}, {1.75, 1.620, 1.652},
              {1.875, 1.745, 1.777}, {2.0, 1.870, 1.902},   {2.125, 1.995, 2.027},
              {2.25, 2.120, 2.152},  {2.5, 2.370, 2.402},   {3.0, 2.870, 2.902},
              {3.5, 3.370, 3.402}};
  for (const auto& row : rows) {
    CAPTURE(row.outside);
    const StockTube* tube = find_stock_tube(row.outside * inch);
    REQUIRE(tube != nullptr);
    CHECK(near(tube->bore(), row.bore * inch, 1e-9, 0));
    CHECK(near(tube->bore(wall_18_gauge), row.bore_18 * inch, 1e-9, 0));
    CHECK(&nearest_stock_tube(row.bore * inch) == tube);
    CHECK(!tube->bend_radii.empty());
  }
  CHECK(find_stock_tube(1.9 * inch) == nullptr);
  double before = 0;
  for (const StockTube& tube : tube_stock()) {
    CHECK(tube.outside_diameter > before);
    before = tube.outside_diameter;
  }
}
