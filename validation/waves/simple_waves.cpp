// Smooth waves before they break: order of accuracy, conservation, speed and superposition.
//
// In a simple wave into gas of uniform entropy u - 2 c / (gamma - 1) is constant and every state
// travels at its own u + c: Whitham (1974), chapter 6; Landau & Lifshitz (1987), section 101.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "validation/rig/textbook_air.hpp"
#include "validation/rig/tube.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

namespace {

using solver::FluxHll;
using solver::FluxHllc;
using solver::LimiterFlat;
using solver::LimiterMinmod;
using solver::LimiterMonotonizedCentral;
using solver::LimiterVanLeer;

const Source characteristics{"Whitham (1974), chapter 6, characteristics of a simple wave",
                             Confidence::computed};

// u(x, 0) = 0.1 sin 2 pi x, c = 1 + 0.2 u, rho = c^5, p = c^7 / 1.4; breaks at t = 1.3262912.
AveragedState simple_wave(double x, double t) {
  double xi = x;
  for (int i = 0; i < 60; ++i) {  // x = xi + (1 + 1.2 u0(xi)) t
    const double phase = 2.0 * std::numbers::pi * xi;
    const double residual = xi + (1.0 + 0.12 * std::sin(phase)) * t - x;
    xi -= residual / (1.0 + 0.24 * std::numbers::pi * std::cos(phase) * t);
  }
  const double u = 0.1 * std::sin(2.0 * std::numbers::pi * xi);
  const double c = 1.0 + 0.2 * u;
  return {std::pow(c, 5.0), u, std::pow(c, 7.0) / 1.4};
}

AveragedState wave_average(double from, double to, double t) {
  return cell_average([=](double x) { return simple_wave(x, t); }, g, from, to);
}

Pipe wave_in_pipe(const Gas& gas, std::size_t cells) {
  Pipe d = straight_pipe(cells);
  d.fill(gas, [&](double x) {
    const AveragedState w = wave_average(x - 0.5 * d.dx(), x + 0.5 * d.dx(), 0.0);
    return Primitive<double>{w.rho, w.u, w.p, 0.0};
  });
  return d;
}

template <class NumericalFlux, class Limiter>
Pipe wave_run(std::size_t cells, double t) {
  const Gas gas = gas_of_constant_gamma(g);
  Pipe d = wave_in_pipe(gas, cells);
  run<NumericalFlux, Limiter>(d, gas, t, EndsPeriodic<NumericalFlux>{gas}, 0.8);
  return d;
}

template <class NumericalFlux, class Limiter>
Errors wave_errors(std::size_t cells) {
  return errors_of(wave_run<NumericalFlux, Limiter>(cells, 0.5),
                   [](double from, double to) { return wave_average(from, to, 0.5); });
}

double order(double coarse, double fine) { return std::log2(coarse / fine); }

// Errors of density on 50 to 400 cells; the observed orders are added as figures.
template <class NumericalFlux, class Limiter>
Curve add_orders(CaseReport& report, const std::string& name, double least, double most) {
  Curve curve{name, {}, {}};
  std::vector<Errors> errors;
  for (const std::size_t n : {50, 100, 200, 400}) {
    errors.push_back(wave_errors<NumericalFlux, Limiter>(n));
    curve.x.push_back(static_cast<double>(n));
    curve.y.push_back(errors.back().rho);
  }
  const auto add = [&](const char* quantity, double coarse, double fine) {
    const double middle = 0.5 * (least + most);
    report.figures.push_back(
        {fmt::format("{}: order of {} from 200 to 400 cells", name, quantity),
         "",
         middle,
         order(coarse, fine),
         0.5 * (most - least),
         false,
         "usual for the scheme; an independent minmod run has 1.80 to 1.89, a first-order one 0.94 "
         "to 0.98",
         {"Toro (2009), chapter 14: order of the scheme by its design", Confidence::from_memory}});
  };
  add("density", errors[2].rho, errors[3].rho);
  add("velocity", errors[2].u, errors[3].u);
  add("pressure", errors[2].p, errors[3].p);
  return curve;
}

struct Place {
  double x, rho, u, p;
};
// Evaluated independently from the characteristics.
constexpr std::array<Place, 8> at_half{{{0.0625, 0.94416238, -0.05712824, 0.65907879},
                                        {0.1875, 0.90393224, -0.09998759, 0.62010066},
                                        {0.3125, 0.92490324, -0.07745987, 0.64033433},
                                        {0.4375, 0.97208121, -0.02823590, 0.68652370},
                                        {0.5625, 1.02855661, 0.02823590, 0.74300450},
                                        {0.6875, 1.07989736, 0.07745987, 0.79544001},
                                        {0.8125, 1.10406737, 0.09998759, 0.82047579},
                                        {0.9375, 1.05844870, 0.05712824, 0.77340985}}};
constexpr std::array<Place, 8> at_one{{{0.0625, 1.02248094, 0.02228147, 0.73686728},
                                       {0.1875, 1.06571327, 0.06405109, 0.78085156},
                                       {0.3125, 1.09851412, 0.09484684, 0.81470403},
                                       {0.4375, 1.08952293, 0.08647927, 0.80538380},
                                       {0.5625, 0.91646090, -0.08647927, 0.63216650},
                                       {0.6875, 0.90868391, -0.09484684, 0.62466898},
                                       {0.8125, 0.93756904, -0.06405109, 0.65264426},
                                       {0.9375, 0.97791624, -0.02228147, 0.69229992}}};

// Worst error of the exact reference and of the computed wave at the eight points.
void add_places(CaseReport& report, double t, const std::array<Place, 8>& places, const Pipe& d) {
  double reference = 0;
  double rho = 0;
  double u = 0;
  double p = 0;
  for (const Place& place : places) {
    const AveragedState exact = simple_wave(place.x, t);
    reference = std::max({reference, std::abs(exact.rho - place.rho), std::abs(exact.u - place.u),
                          std::abs(exact.p - place.p)});
    // The point is a face of the grid: mean of its two cells, to second order.
    const auto i = static_cast<std::size_t>(std::lround(place.x / d.dx()));
    const Primitive<double> a = d.state(i - 1);
    const Primitive<double> b = d.state(i);
    rho = std::max(rho, std::abs(0.5 * (a.rho + b.rho) - place.rho));
    u = std::max(u, std::abs(0.5 * (a.u + b.u) - place.u));
    p = std::max(p, std::abs(0.5 * (a.p + b.p) - place.p));
  }
  const auto add = [&](const char* quantity, double value, double tolerance, const char* why) {
    report.figures.push_back({fmt::format("{} at eight points, t {}", quantity, t), "", 0, value,
                              tolerance, false, why, characteristics});
  };
  add("greatest error of the reference solution", reference, 6e-9, "printed digits");
  const char* why = "2e-4 of the wave's height of 1 at 400 cells, near the steep front at t 1";
  add("greatest error of density", rho, 5e-4, why);
  add("greatest error of velocity", u, 5e-4, why);
  add("greatest error of pressure", p, 5e-4, why);
}

}  // namespace

CaseReport simple_wave_order(Broken broken) {
  CaseReport report;
  report.title = "Simple wave before it forms a shock: order of accuracy";
  report.text =
      "A periodic simple wave, initially u = 0.1 sin 2 pi x, which forms a shock at t 1.3263. L1 "
      "errors against exact cell averages at t 0.5.";
  const bool flat = broken == Broken::first_order;
  Plot plot{"L1 error of density at t 0.5", "cells", "error", {}, true, true};
  plot.curves.push_back(
      flat ? add_orders<FluxHllc, LimiterFlat>(report, "monotonized central", 1.8, 2.2)
           : add_orders<FluxHllc, LimiterMonotonizedCentral>(report, "monotonized central", 1.8,
                                                             2.2));
  plot.curves.push_back(add_orders<FluxHllc, LimiterVanLeer>(report, "van Leer", 1.8, 2.2));
  plot.curves.push_back(add_orders<FluxHllc, LimiterMinmod>(report, "minmod", 1.7, 2.2));
  plot.curves.push_back(add_orders<FluxHllc, LimiterFlat>(report, "first order", 0.9, 1.2));
  plot.curves.push_back(add_orders<FluxHll, LimiterMonotonizedCentral>(
      report, "monotonized central with HLL", 1.8, 2.2));
  report.plots.push_back(plot);
  // An independent MUSCL code with this limiter.
  const Curve& central = plot.curves.front();
  const std::array<double, 4> reference{6.9e-4, 1.81e-4, 4.67e-5, 1.19e-5};
  for (std::size_t k = 0; k < 4; ++k) {
    report.figures.push_back({fmt::format("L1 error of density, {:.0f} cells", central.x[k]),
                              "",
                              1.3 * reference[k],
                              central.y[k],
                              0,
                              false,
                              "at most 1.3 times that of an independent run with the same limiter",
                              {"reference run of another MUSCL code", Confidence::computed},
                              Sense::at_most});
  }
  const auto line = [&](const char* name, double t, auto&& take, const Pipe& d) {
    Curve exact{std::string("exact, t ") + name, {}, {}};
    Curve computed{std::string("100 cells, t ") + name, {}, {}, true};
    for (int i = 0; i <= 400; ++i) {
      exact.x.push_back(i / 400.0);
      exact.y.push_back(take(simple_wave(i / 400.0, t)));
    }
    for (std::size_t i = 0; i < d.cells(); ++i) {
      const Primitive<double> w = d.state(i);
      computed.x.push_back(d.centre(i));
      computed.y.push_back(take(AveragedState{w.rho, w.u, w.p}));
    }
    return std::array<Curve, 2>{exact, computed};
  };
  Plot shape{"velocity", "x", "u", {}};
  for (const auto& [name, t] : {std::pair{"0.5", 0.5}, std::pair{"1", 1.0}}) {
    add_places(report, t, t < 0.7 ? at_half : at_one,
               wave_run<FluxHllc, LimiterMonotonizedCentral>(400, t));
    const auto curves = line(
        name, t, [](const AveragedState& w) { return w.u; },
        wave_run<FluxHllc, LimiterMonotonizedCentral>(100, t));
    shape.curves.insert(shape.curves.end(), curves.begin(), curves.end());
  }
  report.plots.push_back(shape);
  return report;
}

CaseReport simple_wave_totals(Broken) {
  CaseReport report;
  report.title = "Simple wave: conservation of mass, momentum and energy in a periodic pipe";
  report.text = "Initial totals, and their change until t 5, long after shocks have formed.";
  const Gas gas = gas_of_constant_gamma(g);
  Pipe d = wave_in_pipe(gas, 100);
  const auto momentum = [&] {
    double sum = 0;
    for (std::ptrdiff_t i = 0; i < 100; ++i) sum += d.momentum[i] * d.volume[i];
    return sum;
  };
  const double mass = d.mass();
  const double start = momentum();
  const double energy = d.energy();
  const auto add = [&](const char* quantity, double expected, double value, double tolerance,
                       const char* why, const Source& source) {
    report.figures.push_back({quantity, "", expected, value, tolerance, false, why, source});
  };
  add("mass", 1.0020003, mass, 6e-8, "printed digits", characteristics);
  add("momentum", 0.0050030001, start, 6e-11, "printed digits", characteristics);
  add("energy", 1.7957255372, energy, 6e-11, "printed digits", characteristics);
  run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 5.0, EndsPeriodic<FluxHllc>{gas});
  const Source conserved{"conservation", Confidence::computed};
  add("change of mass", 0, d.mass() - mass, 1e-13, "round-off", conserved);
  add("change of momentum", 0, momentum() - start, 1e-14, "round-off", conserved);
  add("change of energy", 0, d.energy() - energy, 2e-13, "round-off", conserved);
  return report;
}

namespace {

constexpr double T_still = 293.15;  // K
constexpr double p_still = 1e5;     // Pa

// Right-going wave of X - 1 and left-going one on gas at rest.
Primitive<double> two_waves(double c0, double X1, double X2) {
  const double X = X1 + X2 - 1.0;
  return {p_still / (R * T_still) * std::pow(X, 5.0), 5.0 * c0 * (X1 - X2),
          p_still * std::pow(X, 7.0), 0.0};
}

const Source exact_superposition{
    "Blair (1999), chapter 2; exact for gas of one entropy, e.g. Whitham (1974), chapter 6",
    Confidence::computed};

}  // namespace

CaseReport wave_speeds(Broken broken) {
  CaseReport report;
  report.title = "Finite waves: propagation speed of each pressure";
  report.text =
      "Air at 20 deg C. A pulse whose height is twice (in X - 1) the level that is tracked; the "
      "level is timed on the flattening flank, which no shock reaches.";
  const Gas gas = gas_of_constant_gamma(g, R);
  const double c0 = std::sqrt(g * R * T_still);
  struct Level {
    double P, speed;
  };
  Plot plot{"speed of a pressure level",
            "pressure ratio",
            "m/s",
            {{"c0 (1 + 6 (X - 1))", {}, {}}, {"computed", {}, {}, true}}};
  for (const Level& level : {Level{0.6, 198.3002}, Level{0.8, 278.6187}, Level{1.2, 397.5754},
                             Level{1.5, 466.0418}, Level{1.8, 523.6259}, Level{2.0, 557.5931}}) {
    const double top = 2.0 * (std::pow(level.P, 1.0 / 7.0) - 1.0);
    constexpr double width = 1.0;
    Pipe d = straight_pipe(1600, 4.0);
    d.fill(gas, [&](double x) {
      const double s = (x - 0.2) / width;
      const bool inside = s > 0 && s < 1;
      return two_waves(c0, inside ? 1.0 + top * std::pow(std::sin(std::numbers::pi * s), 2.0) : 1.0,
                       1.0);
    });
    const double rising = level.P > 1 ? 1.0 : -1.0;
    const auto place = [&] {  // position of the level on the flattening flank
      for (std::size_t k = 0; k + 1 < d.cells(); ++k) {
        const std::size_t i = level.P > 1 ? k : d.cells() - 2 - k;
        const double a = rising * (d.state(i).p - level.P * p_still);
        const double b = rising * (d.state(i + 1).p - level.P * p_still);
        if (a * b <= 0) return d.centre(i) + d.dx() * a / (a - b);
      }
      return -1.0;
    };
    const double before = place();
    // The steepening flank forms a shock after width / (6 c0 pi |top|).
    const double duration = 0.8 * width / (6.0 * c0 * std::numbers::pi * std::abs(top));
    if (broken == Broken::first_order) {
      run<FluxHllc, LimiterFlat>(d, gas, duration, EndsTransmissive{gas});
    } else {
      run<FluxHllc, LimiterMonotonizedCentral>(d, gas, duration, EndsTransmissive{gas});
    }
    const double speed = (place() - before) / duration;
    report.figures.push_back(
        {fmt::format("speed of pressure ratio {}", level.P), "m/s", level.speed, speed, 1e-3, true,
         "a travel of half a metre and more on cells of 2.5 mm", exact_superposition});
    plot.curves[1].x.push_back(level.P);
    plot.curves[1].y.push_back(speed);
  }
  for (double P = 0.5; P <= 2.1; P += 0.05) {
    plot.curves[0].x.push_back(P);
    plot.curves[0].y.push_back(c0 * (1.0 + 6.0 * (std::pow(P, 1.0 / 7.0) - 1.0)));
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport wave_superposition(Broken) {
  CaseReport report;
  report.title = "Superposition of finite waves: X adds where they cross";
  report.text = "X = X1 + X2 - 1 and u = u1 - u2 in the middle of a pipe; air at 20 deg C.";
  struct Pair {
    double P_right_going, P_left_going, P, u, t;
  };
  const Gas gas = gas_of_constant_gamma(g, R);
  const double c0 = std::sqrt(g * R * T_still);
  for (const Pair& pair : {Pair{1.5, 1.2, 1.7818481647715427, 57.05532535704114, 4.2e-3},
                           Pair{1.2, 0.8, 0.9656101917714296, 99.13056136075957, 5.5e-3}}) {
    Pipe d = straight_pipe(800, 4.0);
    d.fill(gas, [&](double x) {
      // Smooth ramps of 1 m, undisturbed gas between them; they cross before they form shocks.
      const auto ramp = [](double s) {
        const double q = std::clamp(s, 0.0, 1.0);
        return q * q * (3.0 - 2.0 * q);
      };
      return two_waves(c0, 1.0 + (std::pow(pair.P_right_going, 1.0 / 7.0) - 1.0) * ramp(1.9 - x),
                       1.0 + (std::pow(pair.P_left_going, 1.0 / 7.0) - 1.0) * ramp(x - 2.1));
    });
    run<FluxHllc, LimiterMonotonizedCentral>(d, gas, pair.t, EndsTransmissive{gas});
    const Primitive<double> w = d.state(d.cells() / 2);
    const std::string waves = fmt::format("{} and {}", pair.P_right_going, pair.P_left_going);
    const char* why = "smooth waves on cells of 5 mm";
    report.figures.push_back({"pressure ratio where " + waves + " cross", "", pair.P, w.p / p_still,
                              1e-4, true, why, exact_superposition});
    report.figures.push_back({"velocity where " + waves + " cross", "m/s", pair.u, w.u, 1e-3, true,
                              why, exact_superposition});
  }
  return report;
}

}  // namespace pulsewright::validation
