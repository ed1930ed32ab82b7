// Input reflection and transfer functions of a 4-into-1 header at one exhaust port, against
// four-poles.
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/sizing/circle.hpp"
#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/four_pole.hpp"
#include "validation/acoustics/spectrum.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;
using models::JunctionLaw;
using models::Side;

namespace {

// Invented: four primaries of unequal length, collector, cone, tail.
constexpr double primary_length[4] = {0.70, 0.76, 0.83, 0.91};  // m
constexpr double D_primary = 0.0443;                            // m
constexpr double D_collector = 0.0762;
constexpr double D_tail = 0.0635;
constexpr double collector = 0.30;
constexpr double cone = 0.15;
constexpr double tail = 0.60;
constexpr double cell_size = 0.01;

EngineSpecification header(JunctionLaw law, bool open_tail) {
  EngineSpecification e;
  e.ambient.temperature = 900;  // hot everywhere: one uniform gas
  models::JunctionSpecification merge;
  merge.name = "merge";
  merge.law = law;
  for (int k = 0; k < 4; ++k) {
    e.pipes.push_back(
        smooth_pipe(fmt::format("primary {}", k + 1), primary_length[k], D_primary, cell_size));
    // Parallel: a merge in one point, as in the four-poles, without the lag between inclined tubes.
    merge.branches.push_back({{k, Side::right}, {-1, 0, 0}});
    if (k > 0) e.closed_ends.push_back({{k, Side::left}});
  }
  models::PipeSpecification out =
      smooth_pipe("collector and tail", collector + cone + tail, D_collector, cell_size);
  out.profile = {{0.0, D_collector}, {collector, D_collector}, {collector + cone, D_tail}};
  e.pipes.push_back(out);
  merge.branches.push_back({{4, Side::left}, {1, 0, 0}});
  e.junctions = {merge};
  if (open_tail) {
    models::OpenEndSpecification open;
    open.end = {4, Side::right};
    e.open_ends = {open};
  } else {
    e.anechoic_ends = {{{4, Side::right}}};
  }
  return e;
}

// Unflanged open end at s a/c. Fit of Davies, Bento Coelho & Bhattacharya, J. Sound Vib. 72 (1980)
// 543, to Levine & Schwinger (1948), from memory; within 0.6 % of their integrals to ka 1.5.
Complex reflection_of_open_end(Complex s) {
  const double ka = s.imag();
  const double magnitude = 1 + ka * (0.01336 + ka * (-0.59079 + ka * (0.33576 - ka * 0.06432)));
  const double length = ka < 0.5 ? 0.6133 - 0.1168 * ka * ka : 0.6393 - 0.1104 * ka;
  return -magnitude * std::exp(-2.0 * s * length);
}

// Reflection coefficient at the port, and pressure at the closed valve of each other cylinder over
// the incident wave; both at the centres of the first cells.
struct Response {
  Complex reflected;
  Complex at_valve[3];
};

Response four_poles(const StillGas& gas, bool open_tail, double volume, double first_cell,
                    Complex s) {
  const Medium medium{gas.rho, gas.c};
  const double A = models::circle_area(D_primary);
  const FourPole outlet = pipe_four_pole(medium, collector, models::circle_area(D_collector), s) *
                          cone_four_pole(medium, cone, D_collector, D_tail, s) *
                          pipe_four_pole(medium, tail, models::circle_area(D_tail), s);
  const Complex R = open_tail ? reflection_of_open_end(s * 0.5 * D_tail / gas.c) : 0.0;
  Complex Y =
      admittance_of(outlet, gas.rho * gas.c / models::circle_area(D_tail) * (1.0 + R) / (1.0 - R));
  Y += s * volume / (gas.rho * gas.c * gas.c);
  FourPole closed[3];
  for (int k = 0; k < 3; ++k) {
    closed[k] = pipe_four_pole(medium, primary_length[k + 1], A, s);
    Y += admittance_of_closed(closed[k]);
  }
  const FourPole port = pipe_four_pole(medium, primary_length[0] - first_cell, A, s);
  const Complex Z = gas.rho * gas.c / A;
  const Complex Y_port = admittance_of(port, 1.0 / Y);
  Response response;
  response.reflected = (1.0 - Z * Y_port) / (1.0 + Z * Y_port);
  const Complex p_port = 1.0 + response.reflected;
  const Complex p_merge = p_port / (port(0, 0) + port(0, 1) * Y);
  for (int k = 0; k < 3; ++k) {
    response.at_valve[k] = p_merge / closed[k](0, 0) * std::cosh(s * first_cell / gas.c);
  }
  return response;
}

void add_header(CaseReport& report, JunctionLaw law, const char* law_name, bool open_tail,
                Broken broken) {
  EngineSpecification e = header(law, open_tail && broken != Broken::end_reflection);
  if (broken == Broken::end_reflection && !open_tail) {
    e.closed_ends = {};
    e.anechoic_ends.push_back({{1, Side::left}});
    e.anechoic_ends.push_back({{2, Side::left}});
    e.anechoic_ends.push_back({{3, Side::left}});
  }
  const auto gas = constant_gamma_gas(1.33, 290);
  const StillGas still = still_gas(gas, e.ambient);
  PipeRig rig(with_wave(e, {0, Side::left}, pulse(e.ambient.pressure, 100.0, 0.8e-3)), gas);
  WaveRecord port(still, 0, 0);
  WaveRecord valve[3] = {{still, 1, 0}, {still, 2, 0}, {still, 3, 0}};
  // Oscillations that last beyond 0.3 s are weighted by exp(-25 x 0.3) = 5e-4.
  constexpr double sigma = 25;
  record(rig, 0.3, {&port, &valve[0], &valve[1], &valve[2]});
  const double volume = rig.network().junctions()[0].volume();
  const std::string name =
      fmt::format("{}, tail {}", law_name, open_tail ? "open" : "without reflection");
  Plot magnitude{name + ": magnitude of the reflection coefficient",
                 "Hz",
                 "|R|",
                 {{"four-poles", {}, {}}, {"computed", {}, {}, true}}};
  Plot phase{name + ": phase of the reflection coefficient", "Hz", "deg", magnitude.curves};
  Plot transfer{name + ": pressure at the closed valve of cylinder 2 over the incident wave", "Hz",
                "", magnitude.curves};
  double worst = 0;
  double worst_transfer = 0;
  double mean = 0;
  int count = 0;
  for (double f = 20; f <= 800; f += 5) {
    const Complex s(sigma, 2 * std::numbers::pi * f);
    const Response exact = four_poles(still, open_tail, volume, 0.5 * rig.pipe(0).dx(), s);
    const Complex incident = port.right(s);
    const Complex reflected = port.left(s) / incident;
    worst = std::max(worst, std::abs(reflected - exact.reflected));
    mean += std::abs(reflected - exact.reflected);
    ++count;
    Complex at_valve[3];
    for (int k = 0; k < 3; ++k) {
      at_valve[k] = valve[k].pressure(s) / incident;
      worst_transfer = std::max(worst_transfer, std::abs(at_valve[k] - exact.at_valve[k]));
    }
    const auto put = [&](Plot& plot, double reference, double computed) {
      plot.curves[0].x.push_back(f);
      plot.curves[0].y.push_back(reference);
      plot.curves[1].x.push_back(f);
      plot.curves[1].y.push_back(computed);
    };
    constexpr double deg = 180 / std::numbers::pi;
    put(magnitude, std::abs(exact.reflected), std::abs(reflected));
    put(phase, deg * std::arg(exact.reflected), deg * std::arg(reflected));
    put(transfer, std::abs(exact.at_valve[0]), std::abs(at_valve[0]));
  }
  const Source source{
      "four-poles of Munjal (1987), chapter 2, with Eigen, independent of the solver",
      Confidence::computed};
  const auto add = [&](const char* quantity, double computed, double tolerance, const char* why) {
    report.figures.push_back(
        {name + ": " + quantity, "", 0, computed, tolerance, false, why, source});
  };
  add("mean of |R - R four-pole|, 20 to 800 Hz", mean / count, 0.005,
      "0.5 % of the incident wave, on cells of 10 mm (70 to a wavelength at 800 Hz)");
  add("worst |R - R four-pole|", worst, 0.02, "2 %, at the sharpest resonances");
  add("worst error of the pressure at a closed valve over the incident wave", worst_transfer, 0.04,
      "4 %, at the sharpest resonances, of a pressure that reaches three times the incident wave");
  report.plots.push_back(magnitude);
  report.plots.push_back(phase);
  report.plots.push_back(transfer);
}

}  // namespace

CaseReport header_four_poles(Broken broken) {
  CaseReport report;
  report.title = "A 4-into-1 header: reflection at one port and transfer to the others";
  report.text =
      "Four primaries of 0.70 to 0.91 m, merge with its volume, collector, cone and tail "
      "(invented); three valves closed, gas at rest and hot (583 m/s). A pulse of 50 Pa enters at "
      "the port of the shortest. The reflected wave and the pressures at the closed valves are "
      "compared over frequency with a linear four-pole calculation that is independent of the "
      "solver. Both are evaluated at s = 25/s + i omega, which damps oscillations that last beyond "
      "the record.";
  add_header(report, JunctionLaw::momentum, "momentum law", true, broken);
  add_header(report, JunctionLaw::momentum, "momentum law", false, broken);
  add_header(report, JunctionLaw::plenum, "plenum law", true, broken);
  return report;
}

}  // namespace pulsewright::validation
