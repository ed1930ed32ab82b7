// Closed cycles of the cylinder against their closed forms and an independent integration.
#include <cmath>
#include <fmt/format.h>

#include "validation/cylinder/cylinder.hpp"
#include "validation/rig/one_cylinder.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;

namespace {

void rotate(OneCylinder& cylinder, const solver::Gas& gas, double from, double to, int steps) {
  const double d = (to - from) / steps;
  for (int i = 0; i < steps; ++i) {
    cylinder.step(gas, from + i * d, d, d / (360.0 * cylinder_speed), {}, {});
  }
}

}  // namespace

CaseReport otto_cycle(Broken) {
  CaseReport report;
  report.title = "Efficiency of the Otto cycle";
  report.text =
      "Compression and expansion without heat transfer, the whole charge burnt within a thousandth "
      "of a degree at top dead centre; efficiency 1 - r^(1 - gamma), and the isentropic end of the "
      "compression.";
  const Source source{"Heywood (1988), section 5.3, evaluated from the formula",
                      Confidence::computed};
  struct Row {
    double r, gamma, efficiency;
  };
  for (const Row row : {Row{8, 1.3, 0.464113}, Row{9, 1.35, 0.536537}, Row{10, 1.4, 0.601893},
                        Row{11, 1.3, 0.51294}, Row{12, 1.35, 0.58093}, Row{12, 1.4, 0.629893}}) {
    EngineSpecification e = adiabatic_engine(row.r, 1.5e6);
    e.combustion.burned_50_deg = 0;
    e.combustion.duration_deg = 1e-3;
    const auto gas = constant_gamma_gas(row.gamma);
    OneCylinder cylinder(e, cylinder_speed);
    cylinder.fill(gas, 1e5, 300, 0.0, 540);
    rotate(cylinder, gas, 540, 720 - 1e-3, 1000);
    const double compressed = cylinder.pressure();
    rotate(cylinder, gas, -1e-3, 1e-3, 1);
    rotate(cylinder, gas, 1e-3, 180, 1000);
    const auto& sums = cylinder.sums();
    const std::string at = fmt::format("r {}, gamma {}: ", row.r, row.gamma);
    report.figures.push_back({at + "efficiency", "", row.efficiency, sums.work / sums.heat, 1e-6,
                              false, "digits of the value, and the finite angle of combustion",
                              source});
    report.figures.push_back({at + "pressure before burning", "Pa",
                              1e5 * std::pow(row.r, row.gamma), compressed, 1e-6, true,
                              "isentropic", source});
  }
  return report;
}

CaseReport dual_cycle(Broken) {
  CaseReport report;
  report.title = "Efficiency of the dual cycle";
  report.text =
      "Heat at constant volume raises the pressure by alpha, heat at constant pressure the volume "
      "by beta: 1 - r^(1-gamma) (alpha beta^gamma - 1) / ((alpha - 1) + gamma alpha (beta - 1)). "
      "The heat enters as energy without mass, at the rate gamma / (gamma - 1) p dV in the second "
      "part.";
  const Source source{"Heywood (1988), section 5.4, evaluated from the formula",
                      Confidence::computed};
  struct Row {
    double r, gamma, alpha, beta, efficiency;
  };
  Plot plot{"pressure, r 10, alpha 2, beta 1.5", "V, cm3", "p, bar", {}};
  for (const Row row : {Row{10, 1.4, 2, 1.5, 0.5806211227}, Row{12, 1.35, 1.5, 2.0, 0.5313582796},
                        Row{16, 1.3, 1.8, 1.3, 0.5561403445}}) {
    const auto gas = constant_gamma_gas(row.gamma);
    OneCylinder cylinder(adiabatic_engine(row.r, 0), cylinder_speed);
    Curve curve{"cylinder", {}, {}};
    const auto record = [&](double angle) {
      curve.x.push_back(1e6 * cylinder.crank().volume(angle));
      curve.y.push_back(1e-5 * cylinder.pressure());
    };
    cylinder.fill(gas, 1e5, 300, 0.0, 540);
    for (int i = 0; i < 180; ++i) {
      rotate(cylinder, gas, 540 + i, 541 + i, 10);
      record(541 + i);
    }
    const double clearance = cylinder.crank().volume(0);
    // Constant volume.
    const double first = (row.alpha - 1) * cylinder.pressure() * clearance / (row.gamma - 1);
    cylinder.step(gas, 0, 0, 1e-3, {0, 1e3 * first, 0}, {});
    record(0);
    // Constant pressure, to the angle at which the volume is beta times the clearance volume.
    const double p3 = cylinder.pressure();
    double low = 0;
    double high = 180;
    for (int i = 0; i < 80; ++i) {
      const double middle = 0.5 * (low + high);
      (cylinder.crank().volume(middle) < row.beta * clearance ? low : high) = middle;
    }
    double second = 0;
    double off = 0;
    constexpr int steps = 2000;
    const double d = low / steps;
    for (int i = 0; i < steps; ++i) {
      const double dV = cylinder.crank().volume((i + 1) * d) - cylinder.crank().volume(i * d);
      const double heat = row.gamma / (row.gamma - 1) * p3 * dV;
      const double dt = d / (360 * cylinder_speed);
      cylinder.step(gas, i * d, d, dt, {0, heat / dt, 0}, {});
      second += heat;
      off = std::max(off, std::abs(cylinder.pressure() / p3 - 1));
    }
    record(low);
    rotate(cylinder, gas, low, 180, 2000);
    record(180);
    const std::string at =
        fmt::format("r {}, gamma {}, alpha {}, beta {}: ", row.r, row.gamma, row.alpha, row.beta);
    report.figures.push_back({at + "efficiency", "", row.efficiency,
                              cylinder.sums().work / (first + second), 1e-6, false,
                              "fourth order in steps of a hundredth of a degree", source});
    report.figures.push_back({at + "greatest change of the constant pressure", "", 0, off, 1e-6,
                              false, "as above", source});
    if (plot.curves.empty()) plot.curves.push_back(curve);
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport motored_with_heat(Broken broken) {
  CaseReport report;
  report.title = "Motored compression and expansion with wall heat transfer";
  report.text =
      "86 x 86 mm, rod 143 mm, compression ratio 10.5, 6000 rpm, from 1 bar and 330 K at bottom "
      "dead centre, gamma 1.35, walls of 450 (head), 500 (piston) and 400 K (liner), Woschni's "
      "coefficient of the closed motored cylinder, w = 2.28 S_p. The reference values are from an "
      "integration of the first law written independently in another language.";
  const Source source{
      "Woschni (1967); Heywood (1988), eqs (12.38), (12.39), section 14.2; integrated "
      "independently",
      Confidence::computed};
  EngineSpecification e = adiabatic_engine(10.5, 0);
  e.cylinder_heat.multiplier = broken == Broken::wall_heat ? 0 : 1;
  e.cylinder_heat.head_temperature = 450;
  e.cylinder_heat.piston_temperature = 500;
  e.cylinder_heat.liner_temperature = 400;
  e.combustion.burned_50_deg = 170;  // no combustion within 180 deg after top dead centre
  e.combustion.duration_deg = 10;
  const auto gas = constant_gamma_gas(1.35);
  OneCylinder cylinder(e, cylinder_speed);
  cylinder.fill(gas, 1e5, 330, 0.0, 540);
  Plot plot{"pressure and heat", "deg", "p, bar", {{"pressure", {}, {}}}};
  double highest = 0;
  double at = 0;
  const auto run = [&](double from, double to) {
    constexpr double d = 0.01;
    const auto steps = std::lround((to - from) / d);
    for (long i = 0; i < steps; ++i) {
      const double angle = from + static_cast<double>(i) * d;
      cylinder.step(gas, angle, d, d / (360 * cylinder_speed), {}, {});
      if (cylinder.pressure() > highest) {
        highest = cylinder.pressure();
        at = angle + d;
      }
      if (i % 100 == 0) {
        plot.curves[0].x.push_back(angle + d);
        plot.curves[0].y.push_back(1e-5 * cylinder.pressure());
      }
    }
  };
  const std::string why = "the coefficient is constant within steps of a hundredth of a degree";
  run(-180, 0);
  report.figures.push_back({"pressure at top dead centre", "Pa", 2384981.29, cylinder.pressure(),
                            1e-5, true, why, source});
  report.figures.push_back(
      {"temperature there", "K", 749.565549, cylinder.temperature(), 1e-5, true, why, source});
  report.figures.push_back(
      {"wall heat so far", "J", 1.95987563, cylinder.sums().wall_heat, 1e-3, true, why, source});
  run(0, 90);
  report.figures.push_back({"pressure 90 deg after top dead centre", "Pa", 189620.9906,
                            cylinder.pressure(), 1e-5, true, why, source});
  report.figures.push_back({"wall heat so far, 90 deg after", "J", 4.88790502,
                            cylinder.sums().wall_heat, 1e-3, true, why, source});
  report.figures.push_back(
      {"angle of the highest pressure", "deg", -0.13, at, 0.02, false, "two steps", source});
  report.plots.push_back(plot);
  return report;
}

CaseReport simple_heat_release(Broken) {
  CaseReport report;
  report.title = "Simple heat release in a closed cycle";
  report.text =
      "r 10, gamma 1.4, long rod, heat of 20 p1 V1 by a Wiebe function of a 5, n 3 over 40 deg, "
      "started at three angles. The published program continues the exponential beyond the 40 deg; "
      "the model ends there, so the work of that tail is added: heat dQ released at the volume V "
      "gives the work dQ (1 - (V/V1)^(gamma-1)). The book gives 87.77 at 11 deg for the first "
      "(from memory).";
  const Source source{
      "Ferguson & Kirkpatrick (2001), simple heat release, evaluated from its equations",
      Confidence::computed};
  struct Row {
    double start, p_max, at, work;
  };
  const double unscaled = 1.0 - std::exp(-5.0);
  const double z_half = std::cbrt(-std::log(1.0 - 0.5 * unscaled) / 5.0);
  Plot plot{"pressure", "deg", "p / p1", {}};
  for (const Row row : {Row{-20, 87.7823, 10.81, 11.91474}, Row{-10, 70.0792, 18.62, 11.68187},
                        Row{0, 53.5326, 27.69, 11.09731}}) {
    const double RT = 287.05 * 300;
    EngineSpecification e = adiabatic_engine(10, 20 * unscaled * RT);
    e.geometry.rod = 2000;
    e.combustion.wiebe_a = 5;
    e.combustion.wiebe_m = 2;
    e.combustion.duration_deg = 40;
    e.combustion.burned_50_deg = row.start + 40 * z_half;
    const auto gas = constant_gamma_gas(1.4);
    OneCylinder cylinder(e, cylinder_speed);
    const double V1 = cylinder.crank().volume(180);
    cylinder.fill(gas, 1e5, 300, 0.0, 540);
    constexpr double d = 0.02;
    double p_max = 0;
    double at = 0;
    Curve curve{fmt::format("start {} deg", row.start), {}, {}};
    for (int i = 0; i < 18000; ++i) {
      cylinder.step(gas, -180 + i * d, d, d / (360 * cylinder_speed), {}, {});
      if (cylinder.pressure() > p_max) {
        p_max = cylinder.pressure();
        at = -180 + (i + 1) * d;
      }
      if (i % 50 == 0) {
        curve.x.push_back(-180 + (i + 1) * d);
        curve.y.push_back(1e-5 * cylinder.pressure());
      }
    }
    plot.curves.push_back(curve);
    double tail = 0;
    constexpr double dz = 1e-4;
    for (double z = 1 + 0.5 * dz; z < 3; z += dz) {
      const double V = cylinder.crank().volume(row.start + 40 * z) / V1;
      tail += 20 * 15 * z * z * std::exp(-5 * z * z * z) * (1 - std::pow(V, 0.4)) * dz;
    }
    const std::string name = fmt::format("start {} deg: ", row.start);
    report.figures.push_back({name + "highest pressure over p1", "", row.p_max, p_max / 1e5, 1e-5,
                              true, "the digits of the value", source});
    report.figures.push_back(
        {name + "its crank angle", "deg", row.at, at, 0.02, false, "one step", source});
    report.figures.push_back({name + "work over p1 V1", "", row.work,
                              cylinder.sums().work / (1e5 * V1) + tail, 1e-5, true,
                              "the digits of the value", source});
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
