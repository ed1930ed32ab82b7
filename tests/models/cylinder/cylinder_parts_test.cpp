// Crank, heat release, heat transfer coefficients, friction and valves against numbers from
// outside. Where the source of a formula is marked "from memory", its numbers are worked from the
// formula and show that it is coded as stated.
#include <doctest/doctest.h>

#include "models/boundary/poppet_valve.hpp"
#include "models/cylinder/combustion.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/cylinder/friction.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

TEST_CASE("slider-crank volumes") {
  // Heywood (1988), eqs (2.4) to (2.6), worked from the formula.
  const CrankSlider a({0.086, 0.086, 0.143, 0.0, 10.5});
  CHECK(near(a.swept_volume(), 499.557214e-6, 1e-9));
  CHECK(near(a.clearance_volume(), 52.584970e-6, 1e-7));
  const double volume_a[] = {52.58497,  95.49115,  206.13429, 340.80731,
                             455.91290, 528.12039, 552.14218};
  for (int i = 0; i < 7; ++i) CHECK(near(a.volume(30.0 * i), 1e-6 * volume_a[i], 1e-7));

  const CrankSlider b({0.1016, 0.088392, 0.14478, 0.0, 10.0});
  CHECK(near(b.swept_volume(), 716.622200e-6, 1e-9));
  CHECK(near(b.clearance_volume(), 79.624689e-6, 1e-7));
  const double volume_b[] = {141.38224, 300.54029, 493.96251, 658.85139, 761.99527};
  for (int i = 0; i < 5; ++i) CHECK(near(b.volume(30.0 * (i + 1)), 1e-6 * volume_b[i], 1e-7));
}

TEST_CASE("piston speed is greatest before the quarter turn") {
  // Heywood (1988), eq. (2.11), worked from the formula.
  const CrankSlider crank({0.086, 0.086, 0.143, 0.0, 10.5});
  double greatest = 0;
  double at = 0;
  for (double angle = 0; angle < 180; angle += 0.001) {
    const double ratio = crank.volume_slope(angle) / crank.piston_area() * std::numbers::pi / 0.086;
    if (ratio > greatest) {
      greatest = ratio;
      at = angle;
    }
  }
  CHECK(near(greatest, 1.640755, 1e-6));
  CHECK(near(at, 74.500, 0, 0.01));
}

TEST_CASE("slider-crank with an offset pin") {
  const CylinderGeometry g{0.1, 0.08, 0.14, 0.01, 11.0};
  const CrankSlider crank(g);
  // Longest and shortest reach of crank and rod: sqrt((l +- r)^2 - e^2), plane geometry.
  const double stroke = std::sqrt(0.18 * 0.18 - 1e-4) - std::sqrt(0.1 * 0.1 - 1e-4);
  CHECK(near(crank.swept_volume(), stroke * crank.piston_area(), 1e-12));
  double lowest = 1;
  double highest = 0;
  for (double angle = 0; angle < 360; angle += 0.01) {
    lowest = std::min(lowest, crank.piston_position(angle));
    highest = std::max(highest, crank.piston_position(angle));
  }
  CHECK(near(lowest, 0, 0, 1e-9));
  CHECK(near(highest, stroke, 1e-8));
  // Top dead centre lies where crank and rod are in line: sin = e / (l + r).
  const double top = std::asin(0.01 / 0.18) / degree;
  CHECK(near(crank.piston_position(top), 0, 0, 1e-15));
  for (double angle = -175; angle < 720; angle += 35) {
    const double rise = crank.volume(angle + 1e-3) - crank.volume(angle - 1e-3);
    CHECK(near(crank.volume_slope(angle), rise / (2e-3 * degree), 1e-7, 1e-12));
  }
}

TEST_CASE("burning begins and ends") {
  CombustionSpecification c;
  c.duration_deg = 40;
  c.reference_speed = 100;
  c.burned_50_deg = 9;
  const WiebeBurn burn(c, 100);
  CHECK(near(burn.duration(), 40, 1e-14));
  CHECK(burn.mass_fraction_burned(burn.start() - 1) == 0);
  CHECK(near(burn.mass_fraction_burned(burn.end()), 1, 1e-14));
  CHECK(near(burn.mass_fraction_burned(burn.end() + 100), 1, 1e-14));

  // A shape with another a burns 99.9 % unscaled; the scale is then nearly 1.
  c.wiebe_a = 6.907755;
  const WiebeBurn nearly_all(c, 100);
  CHECK(near(nearly_all.mass_fraction_burned(nearly_all.start() + 20) * 0.999,
             1 - std::exp(-6.907755 / 8), 1e-9));
}

TEST_CASE("burn duration follows the speed, its middle stays") {
  CombustionSpecification c;
  c.duration_exponent = 0.3;
  const WiebeBurn slow(c, 0.5 * c.reference_speed);
  const WiebeBurn fast(c, 2.0 * c.reference_speed);
  CHECK(near(fast.duration() / slow.duration(), std::pow(4.0, 0.3), 1e-12));
  CHECK(near(slow.mass_fraction_burned(c.burned_50_deg), 0.5, 1e-12));
  CHECK(near(fast.mass_fraction_burned(c.burned_50_deg), 0.5, 1e-12));
}

TEST_CASE("heat of combustion") {
  CombustionSpecification c;
  c.efficiency = 1;
  c.air_fuel_ratio = c.stoichiometric_air_fuel;
  CHECK(near(heat_per_air(c), c.heating_value / c.stoichiometric_air_fuel, 1e-14));
  // A rich mixture burns as far as its oxygen reaches, a lean one as far as its fuel does.
  const double stoichiometric = heat_per_air(c);
  c.air_fuel_ratio = 12;
  CHECK(near(heat_per_air(c), stoichiometric, 1e-14));
  c.air_fuel_ratio = 2 * c.stoichiometric_air_fuel;
  CHECK(near(heat_per_air(c), 0.5 * stoichiometric, 1e-14));
  CHECK(near(fuel_per_air(c), 0.5 / c.stoichiometric_air_fuel, 1e-14));
}

TEST_CASE("friction pressure") {
  // Chen & Flynn (1965) with constants in common use, from memory; worked from the formula.
  const FrictionSpecification f;
  CHECK(near(friction_pressure(f, 60e5, 8.6), 1.540564e5, 1e-7));
  CHECK(near(friction_pressure(f, 80e5, 17.2), 2.614256e5, 1e-7));
}

TEST_CASE("valve lift is periodic and closed outside its lobe") {
  ValveSpecification spec;
  spec.opens_deg = 600;
  spec.closes_deg = 900;
  spec.lift = sine_lobe(600, 900, 0.012);
  spec.forward = spec.reverse = flow_curve(0.04, 0.0009);
  spec.count = 2;
  const PoppetValve valve(spec);
  CHECK(near(valve.lift(750), 0.012, 1e-12));
  for (const double angle : {610.0, 700.0, 719.9, 720.0, 800.0, 899.0}) {
    const double t = (angle - 600) / 300;
    const double s = std::sin(std::numbers::pi * t);
    // 90 chords instead of the lobe
    CHECK(near(valve.lift(angle), 0.012 * s * s, 2e-3, 1e-5));
    CHECK(near(valve.lift(angle - 720), valve.lift(angle), 1e-12));
    CHECK(near(valve.lift(angle + 720), valve.lift(angle), 1e-12));
  }
  CHECK(valve.lift(181) == 0);
  CHECK(valve.lift(599) == 0);
  CHECK(valve.lift(900) == 0);
  CHECK(valve.area_forward(0) == 0);
  CHECK(near(valve.area_forward(spec.forward.lift[7]), 2 * spec.forward.area[7], 1e-14));
  CHECK(near(valve.area_reverse(0.5 * (spec.reverse.lift[7] + spec.reverse.lift[8])),
             spec.reverse.area[7] + spec.reverse.area[8], 1e-14));
  CHECK(near(valve.area_reverse(1.0), 2 * spec.reverse.area.back(), 1e-14));
}

}  // namespace pulsewright::tests
