// Transmission loss over frequency: expansion chamber and closed side branch.
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/sizing/circle.hpp"
#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/spectrum.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;
using models::JunctionLaw;
using models::JunctionSpecification;
using models::Side;

namespace {

constexpr double c = 343.24;  // m/s
constexpr double two_pi = 2 * std::numbers::pi;

// Transmission loss (dB) from pipe 0 to the last pipe for a short pulse into the left end of pipe
// 0; both of one area, far end anechoic.
class Transmission {
 public:
  Transmission(const EngineSpecification& e, const solver::Gas& gas, double duration)
      : before_(still_gas(gas, e.ambient), 0, 10),
        behind_(still_gas(gas, e.ambient), e.pipes.size() - 1, 10) {
    PipeRig rig(with_wave(e, {0, Side::left}, pulse(e.ambient.pressure, 100.0, 0.8e-3)), gas);
    record(rig, duration, {&before_, &behind_});
  }
  double loss(double frequency) const {
    const std::complex<double> s(0, two_pi * frequency);
    return 20 * std::log10(std::abs(before_.right(s) / behind_.right(s)));
  }

 private:
  WaveRecord before_, behind_;
};

JunctionSpecification joint(std::vector<models::Branch> branches, JunctionLaw law, double volume) {
  JunctionSpecification j;
  j.name = "joint";
  j.law = law;
  j.volume = volume;
  j.branches = std::move(branches);
  return j;
}

}  // namespace

CaseReport expansion_chamber(Broken broken) {
  CaseReport report;
  report.title = "Expansion chamber: transmission loss over frequency";
  report.text =
      "Pipe of 50 mm, chamber of 0.5 m, area ratios 4, 9 and 16, c 343.24 m/s; the spectrum of a "
      "pulse of 50 Pa. TL = 10 log10(1 + (m - 1/m)^2 sin^2(k L)/4). The volume of each joint is a "
      "thousandth of the chamber's.";
  const Source source{
      "Beranek (1992), figure 10.12; Munjal (1987), chapter 2: formula of a simple expansion "
      "chamber, read in a public tool",
      Confidence::computed};
  constexpr double D = 0.05;
  constexpr double L = 0.5;
  EngineSpecification e;
  const auto gas = gas_with_sound_speed(c, e.ambient.temperature);
  for (const double m : {4.0, 9.0, 16.0}) {
    e = {};
    const double wide = broken == Broken::area_term ? D : D * std::sqrt(m);
    e.pipes = {smooth_pipe("inlet", 0.4, D, 0.01), smooth_pipe("chamber", L, wide, 0.01),
               smooth_pipe("outlet", 0.4, D, 0.01)};
    const double volume = 1e-3 * L * models::circle_area(wide);
    e.junctions = {joint({{{0, Side::right}, {-1, 0, 0}}, {{1, Side::left}, {1, 0, 0}}},
                         JunctionLaw::momentum, volume),
                   joint({{{1, Side::right}, {-1, 0, 0}}, {{2, Side::left}, {1, 0, 0}}},
                         JunctionLaw::momentum, volume)};
    e.anechoic_ends = {{{2, Side::right}}};
    const Transmission computed(e, gas, 0.12);
    const auto formula = [&](double f) {
      const double x = (m - 1 / m) * std::sin(two_pi * f * L / c);
      return 10 * std::log10(1 + 0.25 * x * x);
    };
    Plot plot{fmt::format("area ratio {}", m),
              "Hz",
              "dB",
              {{"formula", {}, {}}, {"computed", {}, {}, true}}};
    double worst = 0;
    for (double f = 20; f <= 1000; f += 10) {
      plot.curves[0].x.push_back(f);
      plot.curves[0].y.push_back(formula(f));
      plot.curves[1].x.push_back(f);
      plot.curves[1].y.push_back(computed.loss(f));
      worst = std::max(worst, std::abs(computed.loss(f) - formula(f)));
    }
    report.plots.push_back(plot);
    const auto add = [&](const std::string& quantity, double expected, double value,
                         double tolerance, const char* why) {
      report.figures.push_back({fmt::format("area ratio {}: {}", m, quantity), "dB", expected,
                                value, tolerance, false, why, source});
    };
    // Published values at kL/pi = 0.1, 0.25, 0.5, 1.
    struct Point {
      double kL_over_pi, m4, m9, m16;
    };
    for (const Point& p :
         {Point{0.1, 1.257129, 4.603342, 8.490386}, Point{0.25, 4.405647, 10.364909, 15.152178},
          Point{0.5, 6.547179, 13.170827, 18.095663}, Point{1, 0, 0, 0}}) {
      const double f = 0.5 * p.kL_over_pi * c / L;
      add(fmt::format("TL at kL/pi {}", p.kL_over_pi),
          m == 4   ? p.m4
          : m == 9 ? p.m9
                   : p.m16,
          computed.loss(f), 0.2, "0.2 dB on cells of 10 mm");
    }
    add("worst deviation, 20 to 1000 Hz", 0, worst, 1.0,
        "1 dB: between the lobes the loss rises from zero within a few hertz");
  }
  return report;
}

CaseReport side_branch(Broken broken) {
  CaseReport report;
  report.title = "Closed side branch: transmission loss over frequency";
  report.text =
      "A closed side branch of 0.5 m at right angles to a pipe of the same bore, with two junction "
      "laws. TL = 10 log10(1 + (tan(k L)/2)^2). The junction's volume is a twentieth of its "
      "default.";
  const Source source{"Munjal (1987), chapter 2: quarter-wave side branch", Confidence::computed};
  constexpr double D = 0.05;
  constexpr double L = 0.5;
  for (const auto& [law, name] : {std::pair{JunctionLaw::momentum, "momentum"},
                                  std::pair{JunctionLaw::constant_pressure, "constant pressure"}}) {
    EngineSpecification e;
    const auto gas = gas_with_sound_speed(c, e.ambient.temperature);
    e.pipes = {smooth_pipe("inlet", 0.4, D, 0.01), smooth_pipe("branch", L, D, 0.01),
               smooth_pipe("outlet", 0.4, D, 0.01)};
    e.junctions = {joint({{{0, Side::right}, {-1, 0, 0}},
                          {{1, Side::left}, {0, 1, 0}},
                          {{2, Side::left}, {1, 0, 0}}},
                         law, 0.05 * models::circle_area(D) * 0.5 * D)};
    if (broken == Broken::end_reflection) {
      e.anechoic_ends = {{{1, Side::right}}, {{2, Side::right}}};
    } else {
      e.closed_ends = {{{1, Side::right}}};
      e.anechoic_ends = {{{2, Side::right}}};
    }
    const Transmission computed(e, gas, 0.15);
    const auto formula = [&](double f) {
      const double x = 0.5 * std::tan(two_pi * f * L / c);
      return 10 * std::log10(1 + x * x);
    };
    Plot plot{fmt::format("junction law: {}", name),
              "Hz",
              "dB",
              {{"formula", {}, {}}, {"computed", {}, {}, true}}};
    double peak = 0;
    double peak_at = 0;
    for (double f = 20; f <= 1000; f += 2) {
      plot.curves[0].x.push_back(f);
      plot.curves[0].y.push_back(std::min(formula(f), 50.0));
      const double loss = computed.loss(f);
      plot.curves[1].x.push_back(f);
      plot.curves[1].y.push_back(loss);
      if (f < 300 && loss > peak) {
        peak = loss;
        peak_at = f;
      }
    }
    report.plots.push_back(plot);
    for (const auto& [kL_over_pi, TL] :
         {std::pair{0.1, 0.113138}, std::pair{0.25, 0.969100}, std::pair{0.4, 5.273765}}) {
      report.figures.push_back({fmt::format("{}: TL at kL/pi {}", name, kL_over_pi), "dB", TL,
                                computed.loss(0.5 * kL_over_pi * c / L), 0.15, false,
                                "0.15 dB on cells of 10 mm", source});
    }
    report.figures.push_back({fmt::format("{}: frequency of the first peak", name), "Hz", 171.62,
                              peak_at, 2.0, false, "one step of 2 Hz", source});
    report.figures.push_back({fmt::format("{}: height of the first peak", name), "dB", 25.0, peak,
                              0, false,
                              "unbounded in theory: a branch of 50 cells is slightly damped, and "
                              "25 dB correspond to a branch that reflects 89 %",
                              source, Sense::at_least});
  }
  return report;
}

}  // namespace pulsewright::validation
