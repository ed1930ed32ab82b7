// Steady flow by the method of characteristics: a taper, friction, heat, each against its exact
// solution. The unsteady method is run until the waves have decayed.
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <functional>

#include "validation/characteristics/characteristics.hpp"
#include "validation/characteristics/characteristics_rig.hpp"
#include "validation/rig/textbook_air.hpp"
#include "validation/rig/tube.hpp"

namespace pulsewright::validation {

namespace {

constexpr double p_exit = 1e5;  // Pa

// p0/p of the isentropic table.
double stagnation_ratio(double M) { return std::pow(1 + 0.5 * (g - 1) * M * M, g / (g - 1)); }
// A/A* of the isentropic table.
double area_over_throat(double M) {
  return std::pow(2 / (g + 1) * (1 + 0.5 * (g - 1) * M * M), 0.5 * (g + 1) / (g - 1)) / M;
}

struct SteadyFlow {
  double M1, M2, p2_p1;
  double mass1, mass2;  // kg/s
  std::vector<double> x, p;
};

// From a reservoir of stagnation state p0, T0 through a pipe of that diameter into p_exit;
// `set_walls` sets friction and heat of the pipe.
SteadyFlow steady_flow(std::size_t cells, double p0, double T0,
                       const std::function<double(double)>& diameter,
                       const std::function<void(Pipe&)>& set_walls) {
  constexpr double length = 0.9;
  const Gas gas = gas_of_constant_gamma(g, R);
  const Pipe pipe("tube", length, cells, diameter, {0.0, length});
  const Primitive<double> rest{p_exit / (R * T0), 0.0, p_exit, 0.0};
  const auto end = [&](double p) {
    const models::Reservoir<double> reservoir{p, gas.enthalpy(T0, 0.0), 0.0};
    return [gas, reservoir](const solver::EndWave<double>& wave) {
      return models::flow_through_orifice(gas, wave, reservoir, 1.0, 1.0);
    };
  };
  CharacteristicsRig rig(
      gas, pipe, [&](double) { return rest; }, end(p0), end(p_exit));
  if (set_walls) set_walls(rig.pipe());
  rig.run_until(0.25);
  const auto& solution = rig.characteristics();
  const auto mach = [&](std::size_t i) {
    const auto w = solution.state(i);
    return w.u / std::sqrt(g * w.p / w.rho);
  };
  const auto in = solution.state(0);
  const auto out = solution.state(cells);
  SteadyFlow s{mach(0),
               mach(cells),
               out.p / in.p,
               in.rho * in.u * rig.pipe().area_left(),
               out.rho * out.u * rig.pipe().area_right(),
               {},
               {}};
  for (std::size_t i = 0; i <= cells; ++i) {
    s.x.push_back(solution.place(i));
    s.p.push_back(solution.state(i).p);
  }
  return s;
}

double contraction(double x) { return 0.050 - 0.015 * x / 0.9; }
double expansion(double x) { return contraction(0.9 - x); }
double constant_bore(double) { return 0.0381; }

}  // namespace

CaseReport characteristics_taper(Broken broken) {
  CaseReport report;
  report.title = "Method of characteristics: steady flow through a taper";
  report.text =
      "Lossless flow from 50 to 35 mm in 0.9 m, exit Mach number 0.5, on 45, 90 and 180 nodes. The "
      "method is not conservative: the difference between mass flow in and out is one of the "
      "figures.";
  const Source source{"NACA Report 1135 (1953), isentropic table", Confidence::computed};
  constexpr double T0 = 400;
  const double p0 = p_exit * stagnation_ratio(0.5);
  // Mach number at the inlet: area_over_throat(M1) = (50/35)^2 area_over_throat(0.5).
  double low = 0.05;
  double high = 0.5;
  for (int i = 0; i < 80; ++i) {
    const double M = 0.5 * (low + high);
    (area_over_throat(M) > std::pow(50.0 / 35, 2) * area_over_throat(0.5) ? low : high) = M;
  }
  const double M1 = low;
  const double T2 = T0 / (1 + 0.2 * 0.25);
  const double area2 = 0.25 * std::numbers::pi * 0.035 * 0.035;
  const double mass = p_exit / (R * T2) * 0.5 * std::sqrt(g * R * T2) * area2;
  const bool wrong = broken == Broken::area_term;
  std::array<SteadyFlow, 3> s;
  Plot plot{"pressure", "x, m", "p, Pa", {}};
  for (std::size_t k = 0; k < s.size(); ++k) {
    const std::size_t n = std::size_t{45} << k;
    s[k] = steady_flow(n, p0, T0, wrong ? expansion : contraction, {});
    plot.curves.push_back({fmt::format("{} nodes", n), s[k].x, s[k].p});
  }
  const std::string why = "0.1 % on 180 nodes: second order";
  report.figures = {
      {"Mach number at the inlet", "", M1, s[2].M1, 1e-3, true, why, source},
      {"Mach number at the exit", "", 0.5, s[2].M2, 1e-3, true, why, source},
      {"mass flow at the inlet", "kg/s", mass, s[2].mass1, 1e-3, true, why, source},
      {"mass in over mass out", "", 1, s[2].mass1 / s[2].mass2, 1e-3, true, why, source},
      {"order of the mass flow, 45 to 180 nodes", "", 1.8,
       0.5 * std::log2(std::abs((s[0].mass1 - mass) / (s[2].mass1 - mass))), 0, false,
       "second order", source, Sense::at_least}};
  report.plots.push_back(plot);
  return report;
}

CaseReport characteristics_friction(Broken broken) {
  CaseReport report;
  report.title = "Method of characteristics: steady flow with friction (Fanno)";
  report.text = "Pipe of 38.1 mm and 0.9 m, Darcy factor 0.03, inlet Mach number 0.3, on 90 nodes.";
  const Source source{"Shapiro (1953), chapter 6, Fanno relations, evaluated from the equations",
                      Confidence::computed};
  const double p0 = p_exit / 0.947474 * stagnation_ratio(0.3);
  const auto s = steady_flow(90, p0, 400, constant_bore, [&](Pipe& d) {
    for (std::size_t i = 0; i < d.cells(); ++i) {
      d.turbulent[static_cast<std::ptrdiff_t>(i)] =
          broken == Broken::friction ? 0.0 : 0.03 / (2 * 0.0381);
    }
  });
  const std::string why = "0.2 %, as for the finite-volume method on as many cells";
  report.figures = {{"Mach number at the inlet", "", 0.3, s.M1, 2e-3, true, why, source},
                    {"Mach number at the exit", "", 0.316319, s.M2, 2e-3, true, why, source},
                    {"p2 / p1", "", 0.947474, s.p2_p1, 2e-3, true, why, source},
                    {"mass in over mass out", "", 1, s.mass1 / s.mass2, 2e-3, true, why, source}};
  report.plots = {{"pressure", "x, m", "p, Pa", {{"90 nodes", s.x, s.p}}}};
  return report;
}

CaseReport characteristics_heat(Broken) {
  CaseReport report;
  report.title = "Method of characteristics: steady flow with heat (Rayleigh)";
  report.text =
      "Frictionless pipe, uniform heat flux along 0.9 m such that the stagnation temperature rises "
      "by half, inlet Mach number 0.3, on 90 nodes.";
  const Source source{"Shapiro (1953), chapter 7, Rayleigh relations, evaluated from the equations",
                      Confidence::computed};
  constexpr double T0 = 400;
  const double p1 = p_exit / 0.924096;
  const double T1 = T0 / (1 + 0.2 * 0.09);
  const double flux = p1 / (R * T1) * 0.3 * std::sqrt(g * R * T1);
  const double heat = flux * g * R / (g - 1) * 0.5 * T0 / 0.9;  // W/m3
  const auto s = steady_flow(90, p1 * stagnation_ratio(0.3), T0, constant_bore, [&](Pipe& d) {
    // A wall so hot that the heat flux does not depend on the gas.
    for (std::size_t i = 0; i < d.cells(); ++i) {
      const auto k = static_cast<std::ptrdiff_t>(i);
      d.T_wall[k] = 1e9;
      d.heat_transfer[k] = heat / 1e9;
    }
  });
  const std::string why = "0.2 %, as for the finite-volume method on as many cells";
  report.figures = {{"Mach number at the inlet", "", 0.3, s.M1, 2e-3, true, why, source},
                    {"Mach number at the exit", "", 0.395048, s.M2, 2e-3, true, why, source},
                    {"p2 / p1", "", 0.924096, s.p2_p1, 2e-3, true, why, source},
                    {"mass in over mass out", "", 1, s.mass1 / s.mass2, 2e-3, true, why, source}};
  report.plots = {{"pressure", "x, m", "p, Pa", {{"90 nodes", s.x, s.p}}}};
  return report;
}

}  // namespace pulsewright::validation
