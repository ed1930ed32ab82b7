// Unsteady flow by the method of characteristics: simple waves, reflections, a contact.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "validation/characteristics/characteristics.hpp"
#include "validation/characteristics/characteristics_rig.hpp"
#include "validation/rig/textbook_air.hpp"
#include "validation/rig/tube.hpp"

namespace pulsewright::validation {

namespace {

// Transmissive end: the flux of the incident state, without reflection.
CharacteristicsRig::Boundary transmissive(const Gas& gas) {
  return [gas](const solver::EndWave<double>& wave) {
    const double T = wave.p / (wave.rho * gas.gas_constant(wave.Y));
    const double mass = wave.rho * wave.v;
    return models::EndFlux<double>{mass,
                                   mass * wave.v + wave.p,
                                   mass * (gas.enthalpy(T, wave.Y) + 0.5 * wave.v * wave.v),
                                   mass * wave.Y,
                                   wave.p,
                                   wave.v,
                                   0.0};
  };
}

CharacteristicsRig::Boundary wall() {
  return [](const solver::EndWave<double>& wave) { return models::flow_at_wall(wave); };
}

// State of velocity u in a right-going simple wave into gas at rest of the sound speed c0.
Primitive<double> simple_wave(const Gas& gas, double p0, double c0, double u) {
  const double X = 1 + 0.5 * (g - 1) * u / c0;
  const double T = c0 * c0 * X * X / (g * gas.gas_constant(0.0));
  const double p = p0 * std::pow(X, 2 * g / (g - 1));
  return {p / (gas.gas_constant(0.0) * T), u, p, 0.0};
}

struct WavePoint {
  double x, rho, u, p;
};
// t = 0.5 of u(x, 0) = 0.1 sin(2 pi x) on c0 = 1, rho0 = 1, p0 = 1 / 1.4.
constexpr WavePoint wave_points[] = {
    {0.0625, 0.94416238, -0.05712824, 0.65907879}, {0.1875, 0.90393224, -0.09998759, 0.62010066},
    {0.3125, 0.92490324, -0.07745987, 0.64033433}, {0.4375, 0.97208121, -0.02823590, 0.68652370},
    {0.5625, 1.02855661, 0.02823590, 0.74300450},  {0.6875, 1.07989736, 0.07745987, 0.79544001},
    {0.8125, 1.10406737, 0.09998759, 0.82047579},  {0.9375, 1.05844870, 0.05712824, 0.77340985}};

// Three wavelengths of the periodic wave; by t = 0.5 the ends have not affected the middle one.
// `cells` per wavelength. `wrong_sign`: the broken variant, with the velocity reversed.
solver::CharacteristicPipe run_wave(std::size_t cells, bool wrong_sign) {
  const Gas gas = gas_of_constant_gamma(g);
  const double T0 = 1 / g;
  const auto initial = [&](double x) {
    const double u = 0.1 * std::sin(2 * std::numbers::pi * x);
    Primitive<double> w = simple_wave(gas, T0, 1.0, u);
    if (wrong_sign) w.u = -w.u;
    return w;
  };
  CharacteristicsRig rig(gas, straight_pipe(3 * cells, 3.0), initial, wall(), wall());
  rig.run_until(0.5);
  return rig.characteristics();
}

// Exact velocity: x = xi + (1 + 1.2 u(xi)) t.
double exact_velocity(double x, double t) {
  double xi = x - t;
  for (int i = 0; i < 60; ++i) {
    const double phase = 2 * std::numbers::pi * xi;
    const double f = xi + (1 + 0.12 * std::sin(phase)) * t - x;
    xi -= f / (1 + 0.24 * std::numbers::pi * std::cos(phase) * t);
  }
  return 0.1 * std::sin(2 * std::numbers::pi * xi);
}

}  // namespace

CaseReport characteristics_simple_wave(Broken broken) {
  CaseReport report;
  report.title = "Method of characteristics: simple wave before it forms a shock";
  report.text =
      "A right-going simple wave, u = 0.1 sin(2 pi x), gamma 1.4, at t 0.5 (a shock forms at "
      "1.33). Mean error over one wavelength on 50 to 400 nodes, and the states at eight points on "
      "400.";
  const Source source{"Whitham (1974), chapter 6; states evaluated from the characteristics",
                      Confidence::computed};
  const bool wrong = broken == Broken::characteristics;
  std::array<double, 4> error{};
  Curve errors{"mean error of u", {}, {}, true};
  for (std::size_t k = 0; k < error.size(); ++k) {
    const std::size_t n = std::size_t{50} << k;
    const auto pipe = run_wave(n, wrong);
    for (std::size_t i = n; i < 2 * n; ++i) {
      error[k] +=
          std::abs(pipe.state(i).u - exact_velocity(pipe.place(i), 0.5)) / static_cast<double>(n);
    }
    errors.x.push_back(static_cast<double>(n));
    errors.y.push_back(error[k]);
  }
  report.figures.push_back({"order of the mean error of u, 200 to 400 nodes", "", 1.8,
                            std::log2(error[2] / error[3]), 0, false,
                            "second order, reduced by the monotone slopes at the crests", source,
                            Sense::at_least});
  const auto fine = run_wave(400, wrong);
  double off_rho = 0;
  double off_u = 0;
  double off_p = 0;
  for (const WavePoint& w : wave_points) {
    const Primitive<double> s = fine.state(400 + static_cast<std::size_t>(std::lround(400 * w.x)));
    off_rho = std::max(off_rho, std::abs(s.rho - w.rho));
    off_u = std::max(off_u, std::abs(s.u - w.u));
    off_p = std::max(off_p, std::abs(s.p - w.p));
  }
  const std::string why = "a thousandth of the height of the wave (0.2 in u)";
  report.figures.push_back(
      {"greatest error of u at eight points", "", 0, off_u, 2e-4, false, why, source});
  report.figures.push_back(
      {"greatest error of density at eight points", "", 0, off_rho, 2e-4, false, why, source});
  report.figures.push_back(
      {"greatest error of pressure at eight points", "", 0, off_p, 2e-4, false, why, source});
  Plot wave{"velocity at t 0.5", "x", "u", {}};
  Curve exact{"exact", {}, {}};
  Curve computed{"50 nodes", {}, {}, true};
  const auto coarse = run_wave(50, wrong);
  for (int i = 0; i <= 400; ++i) {
    exact.x.push_back(i / 400.0);
    exact.y.push_back(exact_velocity(i / 400.0, 0.5));
  }
  for (std::size_t i = 50; i <= 100; ++i) {
    computed.x.push_back(coarse.place(i) - 1);
    computed.y.push_back(coarse.state(i).u);
  }
  wave.curves = {exact, computed};
  report.plots = {wave, {"refinement", "nodes per wavelength", "error", {errors}, true, true}};
  return report;
}

CaseReport characteristics_ends(Broken broken) {
  CaseReport report;
  report.title = "Method of characteristics: finite waves at a closed and an open end";
  report.text =
      "A wave of pressure ratio P with a smooth front, in air at 20 deg C, arrives at the end of a "
      "pipe on 400 nodes. X = (p/p0)^((gamma-1)/(2 gamma)): it is 2 X - 1 at a closed end; an open "
      "end reflects 2 - X, and its exit velocity is twice that of the wave.";
  const Source source{"Blair (1999), chapter 2; Bannister's relations, evaluated from the formulas",
                      Confidence::computed};
  struct Row {
    double ratio, closed, reflected, velocity;
  };
  constexpr double p0 = 101325;
  constexpr double T0 = 293.15;
  const Gas gas = gas_of_constant_gamma(g, 287.05);
  const double c0 = gas.sound_speed(T0, 0.0);
  Plot plot{"pressure at the closed end", "t, ms", "p / p0", {}};
  for (const Row row : {Row{0.8, 0.635314, 0, 0}, Row{1.2, 1.433350, 0.829280, 90.5724},
                        Row{1.5, 2.200588, 0.650247, 204.6830}}) {
    const double X = std::pow(row.ratio, 0.5 * (g - 1) / g);
    const double u = 2 * c0 / (g - 1) * (X - 1);
    const auto run = [&](const CharacteristicsRig::Boundary& end, Curve* trace) {
      const auto front = [&](double x) {
        const double s = std::cos(0.5 * std::numbers::pi * std::clamp(x - 0.4, 0.0, 1.0));
        return simple_wave(gas, p0, c0, u * s * s);
      };
      CharacteristicsRig rig(gas, straight_pipe(400, 2.0), front, transmissive(gas), end);
      rig.run_until(6e-3, 0.9, [&] {
        if (!trace) return;
        trace->x.push_back(1e3 * rig.time());
        trace->y.push_back(rig.characteristics().state(400).p / p0);
      });
      return rig.characteristics().state(400);
    };
    const bool no_reflection = broken == Broken::end_reflection;
    Curve trace{fmt::format("P {}", row.ratio), {}, {}};
    const auto closed = run(no_reflection ? transmissive(gas) : wall(), &trace);
    plot.curves.push_back(trace);
    const std::string why = "0.1 %: the front is resolved by 200 nodes";
    report.figures.push_back({fmt::format("closed end, P {}: p / p0", row.ratio), "", row.closed,
                              closed.p / p0, 1e-3, true, why, source});
    if (row.reflected == 0) continue;  // inflow: the lossless relation does not apply
    const models::Reservoir<double> outside{p0, gas.enthalpy(T0, 0.0), 0.0};
    const auto open = run(
        [&](const solver::EndWave<double>& wave) {
          return no_reflection ? transmissive(gas)(wave)
                               : models::flow_through_orifice(gas, wave, outside, 1.0, 1.0);
        },
        nullptr);
    const double X_s = std::pow(open.p / p0, 0.5 * (g - 1) / g);
    const double X_reflected = 0.5 * (1 + X_s - 0.5 * (g - 1) * open.u / c0);
    report.figures.push_back({fmt::format("open end, P {}: velocity at the end", row.ratio), "m/s",
                              row.velocity, open.u, 1e-3, true, why, source});
    report.figures.push_back(
        {fmt::format("open end, P {}: pressure ratio of the reflected wave", row.ratio), "",
         row.reflected, std::pow(X_reflected, 2 * g / (g - 1)), 1e-3, true, why, source});
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport characteristics_contact(Broken broken) {
  CaseReport report;
  report.title = "Method of characteristics: a contact with burnt gas at constant pressure";
  report.text =
      "Burnt gas at 1000 K pushes air at 300 K at 100 m/s and uniform pressure, gamma 1.3 | 1.4, "
      "for 5 ms on 200 nodes. Pressure and velocity have equations of their own here and stay "
      "uniform; a conservative scheme has pressure oscillations (solver/README.md).";
  const Source source{"Abgrall (1996): uniform pressure and velocity must stay so",
                      Confidence::from_memory};
  const Gas gas = gas_of_two_gammas(1.4, 287.05, 1.3, 290);
  const bool bump = broken == Broken::characteristics;
  const auto initial = [&](double x) {
    const double Y = x < 0.3 ? 1.0 : 0.0;
    const double p = bump && x < 0.3 ? 1.001e5 : 1e5;
    return Primitive<double>{p / (gas.gas_constant(Y) * (x < 0.3 ? 1000.0 : 300.0)), 100.0, p, Y};
  };
  CharacteristicsRig rig(gas, straight_pipe(200), initial, transmissive(gas), transmissive(gas));
  rig.run_until(5e-3);
  double off_p = 0;
  double off_u = 0;
  double place = 0;
  double lowest = 1;
  double highest = 0;
  Curve Y{"burnt fraction", {}, {}, true};
  for (std::size_t i = 0; i <= 200; ++i) {
    const auto w = rig.characteristics().state(i);
    off_p = std::max(off_p, std::abs(w.p / 1e5 - 1));
    off_u = std::max(off_u, std::abs(w.u / 100 - 1));
    if (w.Y > 0.5) place = rig.characteristics().place(i) + 0.0025;
    lowest = std::min(lowest, w.Y);
    highest = std::max(highest, w.Y);
    Y.x.push_back(rig.characteristics().place(i));
    Y.y.push_back(w.Y);
  }
  report.figures = {
      {"greatest relative change of pressure", "", 0, off_p, 1e-12, false, "round-off", source},
      {"greatest relative change of velocity", "", 0, off_u, 1e-11, false, "round-off", source},
      {"position of the contact", "m", 0.8, place, 0.005, false, "one node", source},
      {"least burnt fraction", "", 0, lowest, 0, false, "monotone interpolation", source,
       Sense::at_least},
      {"greatest burnt fraction", "", 1, highest, 0, false, "monotone interpolation", source,
       Sense::at_most}};
  report.plots = {{"burnt fraction after 0.5 m", "x, m", "Y", {Y}}};
  return report;
}

}  // namespace pulsewright::validation
