// Figures of a cylinder from steps that are given: air, overlap pressures, each against its
// definition worked by hand.
#include "models/figures/cycle_figures.hpp"

#include <doctest/doctest.h>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

constexpr double ambient = 101325;

// Overlap from 340 to 380 deg, lifts that change evenly in it: the exhaust valve closes from 2 mm
// to 0, the intake valve opens from 0 to 4 mm. They are equal, 4/3 mm, at 340 + 40/3 deg.
EngineSpecification with_straight_lifts() {
  EngineSpecification e;
  e.exhaust_valve.opens_deg = 120;
  e.exhaust_valve.closes_deg = 380;
  e.exhaust_valve.lift = {{120, 200, 340, 380}, {0, 0.010, 0.002, 0}};
  e.intake_valve.opens_deg = 340;
  e.intake_valve.closes_deg = 580;
  e.intake_valve.lift = {{340, 380, 480, 580}, {0, 0.004, 0.012, 0}};
  return e;
}

// A cycle in steps of 0.5 deg; fill(step) sets what the cylinder did at the middle of the step.
template <class Fill>
CylinderFigures cycle(const EngineSpecification& engine, Fill fill) {
  CycleFigures figures(engine, 0.5e-3, 0.6e-3);
  for (int k = 0; k < 1440; ++k) {
    CylinderStep s;
    s.angle = 0.5 * k;
    s.d_angle = 0.5;
    s.dt = 1e-5;
    s.exhaust_pressure = s.intake_pressure = ambient;
    s.cylinder_pressure = ambient;
    s.cylinder_mass = 0.66e-3;
    s.cylinder_burnt = 0.06e-3;
    fill(s);
    figures.add(s);
  }
  return figures.finish(solver::air_and_products(1.85), 1, 0, 0);
}

}  // namespace

TEST_CASE("pressure during overlap: plain, and weighted with the lift of the valve less open") {
  // Gauge pressure that falls evenly over overlap from 4 kPa to -4 kPa: its mean is 0. Weighted
  // with a triangle of corners 340, 340 + 40/3 and 380 deg it is that at the triangle's centre of
  // gravity, (340 + 340 + 40/3 + 380)/3 = 340 + 160/9 deg: 4 - 8 (160/9)/40 kPa = 4/9 kPa.
  const auto figures = cycle(with_straight_lifts(), [](CylinderStep& s) {
    s.exhaust_pressure += 4e3 - 8e3 * (s.angle + 0.25 - 340) / 40;
  });
  CHECK(near(figures.overlap_exhaust_pressure, 0, 0, 1e-6));
  // Midpoint rule with 80 steps: an error of the order of 4 kPa / 80^2.
  CHECK(near(figures.overlap_exhaust_pressure_by_lift, 4e3 / 9, 0, 4e3 / 6400));
  // A pressure that does not change is the same in both.
  const auto even =
      cycle(with_straight_lifts(), [](CylinderStep& s) { s.exhaust_pressure += 700; });
  CHECK(near(even.overlap_exhaust_pressure, 700, 1e-12));
  CHECK(near(even.overlap_exhaust_pressure_by_lift, 700, 1e-12));
}

TEST_CASE("no overlap, no pressure of it") {
  EngineSpecification e = with_straight_lifts();
  e.intake_valve.opens_deg = 390;
  e.intake_valve.lift = {{390, 480, 580}, {0, 0.012, 0}};
  const auto figures = cycle(e, [](CylinderStep& s) { s.exhaust_pressure += 700; });
  CHECK(figures.overlap_exhaust_pressure == 0);
  CHECK(figures.overlap_exhaust_pressure_by_lift == 0);
}

TEST_CASE(
    "volumetric efficiency counts the air through the intake, charging efficiency that trapped") {
  // 0.72 g of air come in through the intake valve from 360 to 540 deg, 0.12 g of it leave through
  // the exhaust valve before it closes; 0.6 g of air are trapped beside 0.06 g of burnt gas. Of
  // 0.6 g of air at ambient state: 1.2 and 1.0. Definitions: Heywood (1988), sections 2.10 and 6.6
  // (charging efficiency = delivery ratio x trapping efficiency, here 1.2 x 5/6).
  const auto figures = cycle(with_straight_lifts(), [](CylinderStep& s) {
    if (s.angle >= 360 && s.angle < 540) s.intake_mass = 0.72e-3 / (360 * 1e-5);
    if (s.angle >= 360 && s.angle < 380) s.exhaust_mass = 0.12e-3 / (40 * 1e-5);
  });
  CHECK(near(figures.volumetric_efficiency, 1.2, 1e-12));
  CHECK(near(figures.charging_efficiency, 1.0, 1e-12));
  CHECK(near(figures.short_circuit_fraction, 1.0 / 6, 1e-12));
  CHECK(near(figures.residual_fraction, 1.0 / 11, 1e-12));
}

}  // namespace pulsewright::tests
