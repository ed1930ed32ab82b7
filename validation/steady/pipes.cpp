// Straight pipes with wall friction and with heat: Fanno, Rayleigh, and both together.
#include <array>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/network/pipe_wall.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "validation/rig/fed_pipe.hpp"
#include "validation/rig/steady_flow.hpp"
#include "validation/rig/textbook_air.hpp"
#include "validation/steady/steady.hpp"

namespace pulsewright::validation {

namespace {

using solver::LimiterMonotonizedCentral;

constexpr double p_inflow = 1e5;    // Pa, stagnation pressure of the inflow
constexpr double T_inflow = 300.0;  // K

Plot mach_plot(const Pipe& d, double g, const std::function<double(double)>& exact) {
  Plot plot{
      "Mach number along the pipe", "x, m", "M", {{"exact", {}, {}}, {"200 cells", {}, {}, true}}};
  for (std::size_t i = 0; i < d.cells(); ++i) {
    if (i % 5 == 0) {
      plot.curves[1].x.push_back(d.centre(i));
      plot.curves[1].y.push_back(mach(d.state(i), g));
    }
    plot.curves[0].x.push_back(d.centre(i));
    plot.curves[0].y.push_back(exact(d.centre(i)));
  }
  return plot;
}

// f L*/D of Fanno flow, from M to the sonic point.
double fanno_length(double M, double g) {
  const double M2 = M * M;
  return (1.0 - M2) / (g * M2) +
         0.5 * (g + 1.0) / g * std::log((g + 1.0) * M2 / (2.0 + (g - 1.0) * M2));
}

}  // namespace

CaseReport fanno_pipe(Broken broken) {
  CaseReport report;
  report.title = "Pipe with friction: Fanno flow";
  report.text =
      "Bore 38.1 mm, 0.9 m, 200 cells, a fixed friction factor of 0.03 (Darcy). Second part: the "
      "same bore and factor, but 3.5 m and with a back pressure so low that the exit is sonic: the "
      "inlet Mach number is the one for which f L*/D is that of the pipe.";
  constexpr double bore = 0.0381;
  constexpr double factor = 0.03;
  const Gas gas = gas_of_constant_gamma(g, R);
  const auto pipe = [&](double length, double p_back) {
    Pipe d = straight_pipe(200, length, bore);
    if (broken != Broken::friction) {
      for (std::ptrdiff_t i = 0; i < 200; ++i) d.turbulent[i] = factor / (2.0 * bore);
    }
    fill_still(d, gas, p_back, T_inflow);
    run_to_steady_state<LimiterMonotonizedCentral>(
        d, gas, EndsReservoirs{gas, p_inflow, T_inflow, p_back}, 1e-11, 1'000'000);
    return d;
  };
  const double p1 = pressure_ratio(0.3, g) * p_inflow;
  const Pipe d = pipe(0.9, 0.947474 * p1);
  const Primitive<double> in = d.left_end();
  const Primitive<double> out = d.right_end();
  const Source source{
      "Shapiro (1953), chapter 6, Fanno relations (table row M 0.1 read in Farokhi (2014), "
      "appendix E)",
      Confidence::computed};
  const auto add = [&](const char* quantity, const char* unit, double expected, double computed,
                       double tolerance, const char* why) {
    report.figures.push_back({quantity, unit, expected, computed, tolerance, true, why, source});
  };
  const char* on_200_cells = "0.02 % on 200 cells";
  const double lost = 1.0 - stagnation(out, g) / stagnation(in, g);
  add("Mach number at the inlet", "", 0.3, mach(in, g), 2e-4, on_200_cells);
  add("Mach number at the outlet", "", 0.316319, mach(out, g), 2e-4, on_200_cells);
  add("p2/p1", "", 0.947474, out.p / in.p, 2e-4, on_200_cells);
  add("T2/T1", "", 0.998028, out.p / out.rho / (in.p / in.rho), 2e-4, on_200_cells);
  add("p02/p01", "", 0.954043, 1.0 - lost, 2e-4, on_200_cells);
  add("1 - p02/p01", "", 1.0 - 0.954043, lost, 2e-3, "0.2 % of the loss itself");
  const double T_total = out.p / (out.rho * R) / temperature_ratio(mach(out, g), g);
  add("stagnation temperature at the outlet", "K", T_inflow, T_total, 1e-5,
      "friction does no work");
  report.plots.push_back(mach_plot(d, g, [&](double x) {
    return mach_of([&](double M) { return fanno_length(M, g); },
                   fanno_length(0.3, g) - factor * x / bore, 0.05, 1.0);
  }));
  // Choked: f L*/D 2.308493 at M 0.4.
  constexpr double length = 2.308493 * bore / factor;
  const Pipe choked = pipe(length, 0.05 * p_inflow);
  const Primitive<double> c_in = choked.left_end();
  // At the sonic end the gradients are infinite, M - 1 being proportional to the root of the
  // distance: the flow is compared ten cells before the end.
  const Primitive<double> c_out = choked.state(190);
  const double M_last = mach_of([&](double M) { return fanno_length(M, g); },
                                factor * 9.5 * choked.dx() / bore, 0.5, 1.0);
  const double T_last = 0.5 * (g + 1.0) * temperature_ratio(M_last, g);  // T/T*
  const char* steep = "0.2 %: the gradient grows without bound towards the sonic end";
  add("choked pipe of f L/D 2.308493: Mach number at the inlet", "", 0.4, mach(c_in, g), 0.005,
      "0.5 %");
  add("choked pipe: Mach number ten cells before the end", "", M_last, mach(c_out, g), 0.002,
      steep);
  add("choked pipe: p at the inlet over p there", "", 2.695819 * M_last / std::sqrt(T_last),
      c_in.p / c_out.p, 0.002, steep);
  add("choked pipe: T at the inlet over T there", "", 1.162791 / T_last,
      c_in.p / c_in.rho / (c_out.p / c_out.rho), 0.002, steep);
  return report;
}

CaseReport rayleigh_pipe(Broken broken) {
  CaseReport report;
  report.title = "Heated and cooled pipe: Rayleigh flow";
  report.text = "Bore 40 mm, 0.9 m, 200 cells, uniform heat flux, no friction.";
  struct Heat {
    double T02, M2, p2, T2, p02;
  };
  const Gas gas = gas_of_constant_gamma(g, R);
  const Source source{"Shapiro (1953), chapter 7, Rayleigh relations", Confidence::computed};
  for (const Heat& c : {Heat{1.5, 0.395048, 0.924096, 1.480781, 0.966760},
                        Heat{0.8, 0.261705, 1.027480, 0.803395, 1.012362}}) {
    constexpr double length = 0.9;
    Pipe d = straight_pipe(200, length, 0.04);
    const double p1 = pressure_ratio(0.3, g) * p_inflow;
    const double T1 = temperature_ratio(0.3, g) * T_inflow;
    const double mass_flux = p1 / (R * T1) * 0.3 * std::sqrt(g * R * T1);  // kg/(m2 s)
    const double heat = mass_flux * g / (g - 1.0) * R * T_inflow * (c.T02 - 1.0) / length;  // W/m3
    // A wall so hot (or, formally, so cold) that the heat flux does not depend on the gas.
    constexpr double extreme = 1e9;
    for (std::ptrdiff_t i = 0; i < 200 && broken != Broken::wall_heat; ++i) {
      d.T_wall[i] = heat > 0 ? extreme : -extreme;
      d.heat_transfer[i] = std::abs(heat) / extreme;
    }
    fill_still(d, gas, c.p2 * p1, T_inflow);
    run_to_steady_state<LimiterMonotonizedCentral>(
        d, gas, EndsReservoirs{gas, p_inflow, T_inflow, c.p2 * p1}, 1e-11, 1'000'000);
    const Primitive<double> in = d.left_end();
    const Primitive<double> out = d.right_end();
    const auto T_total = [](const Primitive<double>& w) {
      return w.p / (w.rho * R) / temperature_ratio(mach(w, g), g);
    };
    const auto add = [&](const char* quantity, double expected, double computed) {
      report.figures.push_back({fmt::format("T02/T01 {}: {}", c.T02, quantity), "", expected,
                                computed, 2e-4, true, "0.02 % on 200 cells", source});
    };
    add("Mach number at the inlet", 0.3, mach(in, g));
    add("Mach number at the outlet", c.M2, mach(out, g));
    add("p2/p1", c.p2, out.p / in.p);
    add("T2/T1", c.T2, out.p / out.rho / (in.p / in.rho));
    add("p02/p01", c.p02, stagnation(out, g) / stagnation(in, g));
    add("T02/T01", c.T02, T_total(out) / T_total(in));
    const auto T0_ratio = [](double M) {
      const double q = 1.0 + g * M * M;
      return (g + 1.0) * M * M * (2.0 + (g - 1.0) * M * M) / (q * q);
    };
    const auto exact = [&](double x) {
      return mach_of(T0_ratio, T0_ratio(0.3) * (1.0 + (c.T02 - 1.0) * x / length), 0.01, 1.0);
    };
    double worst = 0;
    for (std::size_t i = 0; i < d.cells(); ++i) {
      worst = std::max(worst, std::abs(mach(d.state(i), g) / exact(d.centre(i)) - 1.0));
    }
    report.figures.push_back({fmt::format("T02/T01 {}: worst error of M along the pipe", c.T02), "",
                              0, worst, 2e-4, false, "0.02 % on 200 cells", source});
    report.plots.push_back(mach_plot(d, g, exact));
  }
  return report;
}

namespace {

// d(p, T)/dx of steady flow in a pipe of constant bore with friction and heat to the wall:
//   mass       rho u = G
//   momentum   dp/dx + G du/dx = -f/(2D) rho u^2
//   energy     G d(h + u^2/2)/dx = 4 h_c/D (T_w - T)
// with u = G R T / p, f of Haaland (1983), h_c of the Chilton-Colburn analogy, Sutherland's
// viscosity; all properties local.
struct PipeEquations {
  const Gas& gas;
  double G;          // kg/(m2 s)
  double D;          // m
  double roughness;  // m
  double T_wall;     // K

  using State = std::array<double, 2>;  // p (Pa), T (K)
  void operator()(const State& s, State& slope, double) const {
    const auto [p, T] = s;
    const double gas_constant = gas.gas_constant(0.0);
    const double u = G * gas_constant * T / p;
    const double cp = gas.cp(T, 0.0);
    const double mu = solver::viscosity_sutherland(T);
    const double f = models::friction_factor_haaland(G * D / mu, roughness / D);
    const double h_c = f / 8.0 * G * cp * std::pow(solver::prandtl_number, -2.0 / 3.0);
    const double F = f / (2.0 * D) * G * u;               // Pa/m
    const double q = 4.0 * h_c / (D * G) * (T_wall - T);  // J/(kg m)
    // G u (T'/T - p'/p) + p' = -F;  cp T' + u^2 (T'/T - p'/p) = q
    const double a = 1.0 - G * u / p;
    const double b = G * u / T;
    const double c = -u * u / p;
    const double e = cp + u * u / T;
    const double determinant = a * e - b * c;
    slope[0] = (-F * e - b * q) / determinant;
    slope[1] = (a * q + F * c) / determinant;
  }
};

}  // namespace

CaseReport friction_and_heat(Broken broken) {
  CaseReport report;
  report.title = "Hot gas through a rough, cooled pipe: friction and heat together";
  report.text =
      "Bore 41 mm, 0.9 m, roughness 30 um, wall at 600 K, variable heat capacities, friction "
      "factor and heat transfer as in engine pipes. The reference integrates the two ordinary "
      "differential equations of steady flow from the computed state at the inlet with "
      "Boost.Odeint (Dormand-Prince); friction factor and viscosity are computed with the formulas "
      "of the program, the balances are not.";
  const Gas gas = solver::air_and_products(1.87);
  struct Flow {
    double flow, T_inflow;  // kg/s, K
  };
  const Source source{
      "Shapiro (1953), chapter 8: generalised one-dimensional flow; Haaland (1983); Sutherland "
      "(1893); integrated with Boost.Odeint",
      Confidence::computed};
  for (const Flow& inflow : {Flow{0.06, 1100.0}, Flow{0.14, 1100.0}}) {
    models::PipeSpecification pipe = smooth_pipe("pipe", 0.9, 0.041, 0.9 / 200);
    pipe.friction = broken != Broken::friction;
    pipe.roughness = 30e-6;
    pipe.heat = models::PipeHeatLaw::reynolds_analogy;
    pipe.initial_temperature = 1000;
    pipe.wall.temperature = 600;
    models::EngineSpecification spec;
    spec.pipes = {pipe};
    models::OpenEndSpecification open;
    open.end = {0, models::Side::right};
    open.end_correction = false;
    spec.open_ends = {open};
    FedPipe fed(gas, spec, inflow.flow, inflow.T_inflow);
    fed.rig.run_until(0.1);
    const Pipe& d = fed.rig.pipe(0);
    const double area = d.area_left();
    const PipeEquations equations{gas, inflow.flow / area, 0.041, 30e-6, 600};
    // From the middle of the first cell, over all cell centres.
    const auto first = d.state(0);
    PipeEquations::State state{first.p, first.p / (first.rho * gas.gas_constant(0.0))};
    Plot pressure{fmt::format("pressure, {} g/s", 1e3 * inflow.flow),
                  "x, m",
                  "Pa",
                  {{"ordinary differential equations", {}, {}}, {"200 cells", {}, {}, true}}};
    Plot temperature = pressure;
    temperature.title = fmt::format("temperature, {} g/s", 1e3 * inflow.flow);
    temperature.y_label = "K";
    double p_worst = 0;
    double T_worst = 0;
    auto stepper = boost::numeric::odeint::make_controlled(
        1e-10, 1e-10, boost::numeric::odeint::runge_kutta_dopri5<PipeEquations::State>());
    for (std::size_t i = 1; i < d.cells(); ++i) {
      boost::numeric::odeint::integrate_adaptive(stepper, equations, state, d.centre(i - 1),
                                                 d.centre(i), 1e-4);
      const auto w = d.state(i);
      const double T = d.T[static_cast<std::ptrdiff_t>(i)];
      p_worst = std::max(p_worst, std::abs(w.p - state[0]) / std::abs(first.p - 101325.0));
      T_worst = std::max(T_worst, std::abs(T - state[1]) / (inflow.T_inflow - 600.0));
      pressure.curves[0].x.push_back(d.centre(i));
      pressure.curves[0].y.push_back(state[0]);
      temperature.curves[0].x.push_back(d.centre(i));
      temperature.curves[0].y.push_back(state[1]);
      if (i % 8 == 0) {
        pressure.curves[1].x.push_back(d.centre(i));
        pressure.curves[1].y.push_back(w.p);
        temperature.curves[1].x.push_back(d.centre(i));
        temperature.curves[1].y.push_back(T);
      }
    }
    const std::size_t last = d.cells() - 1;
    const auto out = d.state(last);
    const double g_out = gas.gamma(d.T[static_cast<std::ptrdiff_t>(last)], 0.0);
    const auto add = [&](const char* quantity, const char* unit, double expected, double computed,
                         double tolerance, bool relative, const char* why) {
      report.figures.push_back(
          {fmt::format("{} g/s, exit M {:.2f}: {}", 1e3 * inflow.flow, mach(out, g_out), quantity),
           unit, expected, computed, tolerance, relative, why, source});
    };
    add("temperature of the last cell", "K", state[1], d.T[static_cast<std::ptrdiff_t>(last)], 1e-4,
        true, "0.01 % on 200 cells");
    add("pressure of the last cell", "Pa", state[0], out.p, 1e-4, true, "0.01 % on 200 cells");
    add("worst error of pressure over the pressure drop", "", 0, p_worst, 5e-4, false,
        "0.05 % of the drop from inlet to outlet");
    add("worst error of temperature over 500 K", "", 0, T_worst, 1e-4, false,
        "0.01 % of the difference to the wall temperature");
    report.plots.push_back(pressure);
    report.plots.push_back(temperature);
  }
  return report;
}

}  // namespace pulsewright::validation
