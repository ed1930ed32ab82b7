// Flow without friction through pipes of changing area: subsonic, supersonic, and with a shock.
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <vector>

#include "validation/rig/steady_flow.hpp"
#include "validation/rig/textbook_air.hpp"
#include "validation/steady/steady.hpp"

namespace pulsewright::validation {

namespace {

using solver::FluxHllc;
using solver::LimiterFlat;
using solver::LimiterMonotonizedCentral;
using solver::LimiterVanLeer;

constexpr double p0 = 1e5;    // Pa, stagnation pressure of the inflow
constexpr double T0 = 300.0;  // K

double area_at(double M) { return area_ratio(M, g); }

// A/A_throat = 1 + 2.2 (x - 1.5)^2 on 3 m: the nozzle of Anderson (1995), chapter 7.
constexpr double throat = 0.04;  // m
double nozzle_area(double x) { return 1.0 + 2.2 * (x - 1.5) * (x - 1.5); }
Pipe nozzle(std::size_t cells) {
  return {"nozzle",
          3.0,
          cells,
          [](double x) { return throat * std::sqrt(nozzle_area(x)); },
          {0.0, 3.0}};
}
constexpr double throat_area = 0.25 * std::numbers::pi * throat * throat;

// rho u A / (rho0 c0 A_throat) of choked flow, NACA Report 1135 (1953).
constexpr double choked_flow_number = 0.578704;
double choked_flow() {
  return choked_flow_number * p0 / (R * T0) * std::sqrt(g * R * T0) * throat_area;
}

const Source tables{"NACA Report 1135 (1953), isentropic and normal-shock relations",
                    Confidence::computed};

// Leaves a tenth of the wall pressure out of the momentum balance, by subtracting its contribution
// in the previous step of dt (s).
void break_area_term(Pipe& d, double dt) {
  for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(d.cells()); ++i) {
    d.momentum[i] -= 0.1 * dt * d.h_p[i] * d.area_rise[i] * d.inverse_volume[i];
  }
}

std::function<void(Pipe&)> reservoirs(const Gas& gas, double p_back, Broken broken) {
  const EndsReservoirs ends{gas, p0, T0, p_back};
  return [ends, broken, time = 0.0](Pipe& d) mutable {
    ends(d);
    if (broken == Broken::area_term) break_area_term(d, d.heat_transfer_time - time);
    time = d.heat_transfer_time;
  };
}

struct NozzleErrors {
  double p = 0, mach = 0, flow = 0;  // L1 of p / p0 and of M; worst relative deviation of the flow
  double throat_mach = 0, exit_mach = 0;
  Curve curve;
};

template <class Limiter>
NozzleErrors subsonic_errors(std::size_t cells, Broken broken) {
  const Gas gas = gas_of_constant_gamma(g, R);
  Pipe d = nozzle(cells);
  fill_still(d, gas, 0.998 * p0, T0);
  if (broken == Broken::predictor_area) {
    for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(cells); ++i) d.area_rise[i] *= -1.0;
  }
  run_to_steady_state<Limiter>(d, gas, reservoirs(gas, 0.996 * p0, broken), 1e-11, 1'000'000);
  NozzleErrors e;
  e.curve = {fmt::format("{} cells", cells), {}, {}, true};
  const auto n = static_cast<double>(cells);
  const double flow = d.flux(0).mass * d.face_area[0];
  for (std::size_t i = 0; i < cells; ++i) {
    const Primitive<double> w = d.state(i);
    const double M =
        mach_of(area_at, nozzle_area(d.centre(i)) / 0.775549, 1e-3, 1.0);  // A*/A_throat
    e.p += std::abs(w.p / p0 - pressure_ratio(M, g)) / n;
    e.mach += std::abs(mach(w, g) - M) / n;
    e.flow = std::max(e.flow, std::abs(d.flux(i).mass * d.face_area[i] / flow - 1.0));
    e.throat_mach = std::max(e.throat_mach, mach(w, g));
    e.curve.x.push_back(d.centre(i));
    e.curve.y.push_back(mach(w, g));
  }
  e.exit_mach = mach(d.right_end(), g);
  return e;
}

template <class Limiter>
void add_subsonic(CaseReport& report, const std::string& name, Broken broken) {
  const auto e50 = subsonic_errors<Limiter>(50, broken);
  const auto e100 = subsonic_errors<Limiter>(100, broken);
  const auto e200 = subsonic_errors<Limiter>(200, broken);
  const auto add = [&](const std::string& quantity, double expected, double computed,
                       double tolerance, bool relative, const char* why,
                       Sense sense = Sense::equal) {
    report.figures.push_back(
        {name + ": " + quantity, "", expected, computed, tolerance, relative, why, tables, sense});
  };
  const char* second = "second order by design";
  for (const auto& [label, a, b] :
       {std::tuple{"50 to 100", &e50, &e100}, std::tuple{"100 to 200", &e100, &e200}}) {
    add(fmt::format("order of pressure, {} cells", label), 1.8, std::log2(a->p / b->p), 0, false,
        second, Sense::at_least);
    add(fmt::format("order of Mach number, {} cells", label), 1.8, std::log2(a->mach / b->mach), 0,
        false, second, Sense::at_least);
  }
  add("greatest deviation of mass flow along the pipe, 200 cells", 0, e200.flow, 1e-8, false,
      "a steady state has the same mass flow at every face");
  add("Mach number in the throat, 200 cells", 0.528219, e200.throat_mach, 2e-3, true,
      "0.2 % on 200 cells");
  add("Mach number at the exit, 200 cells", 0.0756903, e200.exit_mach, 2e-3, true,
      "0.2 % on 200 cells");
  if (report.plots.empty()) {
    Plot plot{"Mach number, p_exit/p0 = 0.996", "x, m", "M", {{"exact", {}, {}}, e50.curve}};
    for (int i = 0; i <= 300; ++i) {
      plot.curves[0].x.push_back(0.01 * i);
      plot.curves[0].y.push_back(mach_of(area_at, nozzle_area(0.01 * i) / 0.775549, 1e-3, 1.0));
    }
    report.plots.push_back(plot);
  }
}

}  // namespace

CaseReport nozzle_subsonic(Broken broken) {
  CaseReport report;
  report.title = "Nozzle, subsonic throughout: order of the steady state";
  report.text =
      "A/A_throat = 1 + 2.2 (x - 1.5)^2 (Anderson (1995), chapter 7), p_exit/p0 = 0.996. The "
      "first-order scheme is run as well, to show that the measurement distinguishes the orders.";
  add_subsonic<LimiterMonotonizedCentral>(report, "monotonized central", broken);
  add_subsonic<LimiterVanLeer>(report, "van Leer", broken);
  const auto f50 = subsonic_errors<LimiterFlat>(50, Broken::nothing);
  const auto f100 = subsonic_errors<LimiterFlat>(100, Broken::nothing);
  report.figures.push_back({"first order: order of pressure, 50 to 100 cells", "", 1.3,
                            std::log2(f50.p / f100.p), 0, false, "first order by design", tables,
                            Sense::at_most});
  return report;
}

namespace {

struct Shock {
  double p_exit, place, p02, M1, M2, M_exit;
};

struct ShockErrors {
  double place = 0;  // m
  double p = 0;      // worst relative error more than three cells from the shock
  double flow = 0;   // same, of rho u A of the cells
  double face = 0;   // worst relative error of the mass flow through the faces, shock included
};

// Exact Mach number at x with a shock at `place` (beyond the pipe: no shock).
double mach_with_shock(double x, double place, double p02) {
  const double A = nozzle_area(x);
  return x >= place ? mach_of(area_at, A * p02, 1e-3, 1.0)
         : x < 1.5  ? mach_of(area_at, A, 1e-3, 1.0)
                    : mach_of(area_at, A, 1.0, 4.0);
}

ShockErrors shock_errors(const Pipe& d, double place, double p02) {
  ShockErrors e;
  for (std::size_t i = 0; i < d.cells(); ++i) {
    const Primitive<double> w = d.state(i);
    const double x = d.centre(i);
    if (i + 1 < d.cells()) {
      const double here = mach(w, g);
      const double next = mach(d.state(i + 1), g);
      if (here >= 1 && next < 1) e.place = x + d.dx() * (here - 1) / (here - next);
    }
    e.face = std::max(e.face, std::abs(d.flux(i).mass * d.face_area[i] / choked_flow() - 1.0));
    if (std::abs(x - place) <= 3 * d.dx()) continue;
    const double M = mach_with_shock(x, place, p02);
    const double p = (x < place ? 1.0 : p02) * pressure_ratio(M, g) * p0;
    e.p = std::max(e.p, std::abs(w.p / p - 1.0));
    e.flow = std::max(e.flow,
                      std::abs(w.rho * w.u * nozzle_area(x) * throat_area / choked_flow() - 1.0));
  }
  return e;
}

constexpr Shock at_6784{0.6784, 2.099331, 0.688171, 2.070006, 0.565889, 0.143076};
constexpr Shock at_75{0.75, 2.012755, 0.758837, 1.918450, 0.592063, 0.129465};
constexpr Shock at_50{0.50, 2.339787, 0.513269, 2.464744, 0.516437, 0.193796};

Pipe nozzle_at(const Gas& gas, double p_exit) {
  Pipe d = nozzle(200);
  fill_still(d, gas, p_exit * p0, T0);
  return d;
}

Plot mach_plot(const std::string& title, const Pipe& d, double place, double p02) {
  Plot plot{title, "x, m", "M", {{"exact", {}, {}}, {"200 cells", {}, {}, true}}};
  for (int i = 0; i <= 600; ++i) {
    plot.curves[0].x.push_back(0.005 * i);
    plot.curves[0].y.push_back(mach_with_shock(0.005 * i, place, p02));
  }
  for (std::size_t i = 0; i < d.cells(); ++i) {
    plot.curves[1].x.push_back(d.centre(i));
    plot.curves[1].y.push_back(mach(d.state(i), g));
  }
  return plot;
}

}  // namespace

CaseReport nozzle_supersonic(Broken broken) {
  CaseReport report;
  report.title = "Nozzle, sonic in the throat and supersonic beyond";
  report.text =
      "The nozzle of the subsonic case against a back pressure below that of the fully supersonic "
      "exit (0.016046 of the stagnation pressure); 200 cells.";
  const Gas gas = gas_of_constant_gamma(g, R);
  Pipe d = nozzle(200);
  fill_still(d, gas, 0.5 * p0, T0);
  run_to_steady_state<LimiterVanLeer>(d, gas, reservoirs(gas, 0.01 * p0, broken), 1e-9, 60'000);
  const ShockErrors e = shock_errors(d, 1e9, 1.0);
  const Primitive<double> exit = d.right_end();
  report.figures = {{"worst error of pressure along the pipe", "", 0, e.p, 0.005, false,
                     "0.5 % on 200 cells", tables},
                    {"worst error of mass flow along the pipe", "", 0, e.flow, 0.001, false,
                     "0.1 % on 200 cells", tables},
                    {"pressure at the exit over p0", "", 0.016046, exit.p / p0, 0.005, true,
                     "0.5 % on 200 cells", tables},
                    {"A/A* of the Mach number at the exit", "", 5.95, area_at(mach(exit, g)), 0.005,
                     true, "0.5 % on 200 cells", tables}};
  report.plots.push_back(mach_plot("Mach number", d, 1e9, 1.0));
  return report;
}

CaseReport nozzle_with_shock(Broken broken) {
  CaseReport report;
  report.title = "Choked nozzle with a standing shock";
  report.text = "The nozzle of the subsonic case at three back pressures; 200 cells.";
  const Gas gas = gas_of_constant_gamma(g, R);
  const auto add_case = [&]<class Limiter>(const Shock& c, Limiter, const char* limiter) {
    Pipe d = nozzle_at(gas, c.p_exit);
    run_to_steady_state<Limiter>(d, gas, reservoirs(gas, c.p_exit * p0, broken), 1e-9, 60'000);
    const ShockErrors e = shock_errors(d, c.place, c.p02);
    const auto add = [&](const char* quantity, const char* unit, double expected, double computed,
                         double tolerance, bool relative, const char* why) {
      report.figures.push_back({fmt::format("p_exit/p0 {}, {}: {}", c.p_exit, limiter, quantity),
                                unit, expected, computed, tolerance, relative, why, tables});
    };
    add("position of the shock", "m", c.place, e.place, d.dx(), false, "one cell");
    add("worst error of pressure away from the shock", "", 0, e.p, 0.005, false,
        "0.5 % on 200 cells");
    add("worst error of mass flow away from the shock", "", 0, e.flow, 0.001, false,
        "0.1 % on 200 cells");
    add("worst error of mass flow through the faces", "", 0, e.face, 0.001, false,
        "0.1 % on 200 cells");
    add("Mach number at the exit", "", c.M_exit, mach(d.right_end(), g), 0.002, true,
        "0.2 % on 200 cells");
    report.plots.push_back(
        mach_plot(fmt::format("p_exit/p0 {}, {}", c.p_exit, limiter), d, c.place, c.p02));
  };
  add_case(at_6784, LimiterMonotonizedCentral{}, "monotonized central");
  add_case(at_6784, LimiterVanLeer{}, "van Leer");
  add_case(at_75, LimiterVanLeer{}, "van Leer");
  add_case(at_50, LimiterVanLeer{}, "van Leer");
  return report;
}

CaseReport nozzle_shock_limit_cycle(Broken broken) {
  CaseReport report;
  report.title = "Standing shock with a limit cycle of the monotonized central limiter";
  report.text =
      "For some positions of the shock within its cell the solution with this steep limiter ends "
      "in a small limit cycle instead of a steady state (one to four per cent of the mass flow at "
      "faces next to the shock; van Leer's limiter converges). The means over 400 samples must be "
      "right.";
  const Gas gas = gas_of_constant_gamma(g, R);
  const auto ends = reservoirs(gas, at_75.p_exit * p0, broken);
  Pipe d = nozzle_at(gas, at_75.p_exit);
  run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 1e9, ends, 0.8, 20'000);
  constexpr int samples = 400;
  double place = 0;
  double flow = 0;
  double p_behind = 0;
  double p_worst = 0;
  const std::size_t behind = 160;  // 0.39 m behind the shock
  for (int k = 0; k < samples; ++k) {
    run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 1e9, ends, 0.8, 10);
    const ShockErrors e = shock_errors(d, at_75.place, at_75.p02);
    p_worst = std::max(p_worst, e.p);
    place += e.place / samples;
    flow += d.flux(behind).mass * d.face_area[behind] / samples;
    p_behind += d.state(behind).p / samples;
  }
  const double M = mach_with_shock(d.centre(behind), at_75.place, at_75.p02);
  report.figures = {
      {"mean position of the shock", "m", at_75.place, place, d.dx(), false, "one cell", tables},
      {"mean mass flow behind the shock", "kg/s", choked_flow(), flow, 0.001, true,
       "0.1 % on 200 cells", tables},
      {"mean pressure behind the shock", "Pa", at_75.p02 * pressure_ratio(M, g) * p0, p_behind,
       0.001, true, "0.1 % on 200 cells", tables},
      {"worst error of pressure away from the shock at any time", "", 0, p_worst, 0.005, false,
       "0.5 % on 200 cells", tables}};
  return report;
}

CaseReport area_change(Broken broken) {
  CaseReport report;
  report.title = "Cones without friction: pressure recovery and pressure drop";
  report.text =
      "Straight pipe, cone of 0.6 m and straight pipe, Mach number 0.2 before the cone; 150 cells, "
      "400 for the largest, whose flow is driven by a fortieth of the pressure.";
  const Gas gas = gas_of_constant_gamma(g, R);
  struct Row {
    double ratio, M2, p2_p1;
  };
  for (const Row& row :
       {Row{0.5, 0.437042, 0.901834}, Row{0.8, 0.253638, 0.983284}, Row{1.5, 0.131540, 1.015923},
        Row{2.0, 0.0982040, 1.021369}, Row{4.0, 0.0488890, 1.026563}}) {
    constexpr double D = 0.04;
    const double D2 = D * std::sqrt(row.ratio);
    Pipe d("cone", 1.5, row.ratio > 2 ? 400 : 150,
           [=](double x) { return D + (D2 - D) * std::clamp((x - 0.45) / 0.6, 0.0, 1.0); },
           {0.0, 0.45, 1.05, 1.5});
    const double p1 = pressure_ratio(0.2, g) * p0;
    fill_still(d, gas, row.p2_p1 * p1, T0);
    run_to_steady_state<LimiterVanLeer>(d, gas, reservoirs(gas, row.p2_p1 * p1, broken), 1e-10,
                                        1'000'000);
    const Primitive<double> in = d.left_end();
    const Primitive<double> out = d.right_end();
    const auto add = [&](const char* quantity, double expected, double computed, double tolerance) {
      report.figures.push_back({fmt::format("A2/A1 {}: {}", row.ratio, quantity), "", expected,
                                computed, tolerance, true, "0.5 % of M, 0.03 % of p", tables});
    };
    add("Mach number before the cone", 0.2, mach(in, g), 5e-3);
    add("Mach number behind the cone", row.M2, mach(out, g), 5e-3);
    add("pressure behind over before", row.p2_p1, out.p / in.p, 3e-4);
  }
  return report;
}

}  // namespace pulsewright::validation
