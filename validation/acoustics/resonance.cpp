// Resonance: quarter wave, half wave, Helmholtz.
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <numbers>
#include <stdexcept>

#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/spectrum.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;
using models::OpenEndSpecification;
using models::Side;

namespace {

struct Oscillation {
  double frequency;  // Hz, from the upward zero crossings
  double growth;     // ratio of the rms amplitude of the last fifth to that of the first
};

// Records a gauge pressure (Pa) over the duration (s).
Oscillation oscillation(PipeRig& rig, const std::function<double()>& rise, double duration,
                        Curve& curve) {
  std::vector<double> crossings;
  double sum[2] = {0, 0};
  double time[2] = {0, 0};
  double before = rise();
  double time_before = 0;
  rig.run_until(duration, [&] {
    const double now = rise();
    const double dt = rig.time() - time_before;
    for (const int k : {0, 1}) {
      if (k == 0 ? rig.time() > 0.2 * duration : rig.time() < 0.8 * duration) continue;
      sum[k] += now * now * dt;
      time[k] += dt;
    }
    if (before < 0 && now >= 0) {
      crossings.push_back(time_before + (rig.time() - time_before) * before / (before - now));
    }
    if (rig.time() < 0.1) {
      curve.x.push_back(1e3 * rig.time());
      curve.y.push_back(now);
    }
    before = now;
    time_before = rig.time();
  });
  // The first periods still contain overtones of the initial state.
  if (crossings.size() < 12) throw std::runtime_error("too few periods to measure the frequency");
  return {static_cast<double>(crossings.size() - 6) / (crossings.back() - crossings[5]),
          std::sqrt(sum[1] / time[1] / (sum[0] / time[0]))};
}

OpenEndSpecification open_end(int pipe, Side side, bool corrected) {
  OpenEndSpecification open;
  open.end = {pipe, side};
  open.end_correction = corrected;
  return open;
}

const Source levine{"Levine & Schwinger, Phys. Rev. 73 (1948) 383: 0.6133 a (abstract read)",
                    Confidence::original};

}  // namespace

CaseReport quarter_wave(Broken broken) {
  CaseReport report;
  report.title = "Quarter-wave and half-wave resonance with end correction";
  report.text =
      "f = c / (4 (L + 0.6133 a)) for a pipe closed at one end and c / (2 (L + 2 x 0.6133 a)) for "
      "one open at both, 50 Pa, no losses.";
  struct Row {
    const char* name;
    double c, length, radius;
    bool closed;
    double expected;
  };
  const bool corrected = broken != Broken::end_correction;
  for (const Row& row :
       {Row{"closed and open, 0.5 m, cold", 343.24, 0.5, 0.020, true, 167.5106},
        Row{"open at both ends, 0.5 m, cold", 343.24, 0.5, 0.020, false, 327.1869},
        Row{"closed and open, 0.8 m, exhaust gas", 610.0, 0.8, 0.0205, true, 187.6755}}) {
    EngineSpecification e;
    const auto gas = gas_with_sound_speed(row.c, e.ambient.temperature);
    e.pipes = {smooth_pipe("pipe", row.length, 2 * row.radius, 0.01)};
    if (row.closed) {
      e.closed_ends = {{{0, Side::left}}};
    } else {
      e.open_ends.push_back(open_end(0, Side::left, corrected));
    }
    e.open_ends.push_back(open_end(0, Side::right, corrected));
    e.pipes[0].initial_pressure = e.ambient.pressure + 50;
    PipeRig rig(e, gas);
    Curve curve{row.name, {}, {}};
    const std::size_t cell = row.closed ? 0 : rig.pipe(0).cells() / 2;
    const auto rise = [&] { return rig.pipe(0).state(cell).p - e.ambient.pressure; };
    const double f = oscillation(rig, rise, 0.15, curve).frequency;
    report.figures.push_back({row.name, "Hz", row.expected, f, 2e-3, true,
                              "0.2 %: a tenth of the effect of the end correction (2.4 %)",
                              levine});
    if (report.plots.empty()) {
      report.plots.push_back({"pressure at the closed end", "ms", "Pa", {curve}});
    }
  }
  return report;
}

CaseReport helmholtz(Broken broken) {
  CaseReport report;
  report.title = "Helmholtz resonator";
  report.text =
      "A vessel of 1 litre (a junction of that volume) with a neck of 30 mm bore and 50 mm length, "
      "end corrections 0.8216 a inside and 0.6133 a outside. The lumped formula treats the gas in "
      "the neck as incompressible; with its compressibility the frequency follows from k tan(k L) "
      "= A/V and is 0.8 % lower. The frequency is compared with both. The amplitude is 1 Pa, so "
      "that the jet losses of the neck are small, and the decay must equal that by radiation.";
  const double V = 1e-3;
  const double a = 0.015;
  const double c = 343.24;
  const double inner = 0.8216 * a;
  EngineSpecification e;
  const auto gas = gas_with_sound_speed(c, e.ambient.temperature);
  const double neck = 0.05 + inner;
  e.pipes = {smooth_pipe("neck", neck, 2 * a, 0.0025)};
  e.pipes[0].initial_pressure = e.ambient.pressure + 1;
  models::JunctionSpecification vessel;
  vessel.name = "vessel";
  vessel.law = models::JunctionLaw::plenum;
  vessel.volume = V;
  vessel.branches = {{{0, Side::left}, {1, 0, 0}}};
  e.junctions = {vessel};
  e.open_ends.push_back(open_end(0, Side::right, broken != Broken::end_correction));
  PipeRig rig(e, gas);
  Curve curve{"vessel", {}, {}};
  const auto rise = [&] { return rig.network().junctions()[0].state(gas).p - e.ambient.pressure; };
  const Oscillation resonance = oscillation(rig, rise, 0.15, curve);
  const double f = resonance.frequency;
  report.figures.push_back(
      {"against the lumped formula",
       "Hz",
       171.7354,
       f,
       0.01,
       true,
       "1 %: the neck is 3.6 % of the wavelength",
       {"Beranek (1992), Helmholtz resonator; end corrections 0.8216 a (flanged) and 0.6133 a",
        Confidence::computed}});
  const double L = neck + 0.6133 * a;
  const double A = std::numbers::pi * a * a;
  double low = 0;
  double high = 0.5 * std::numbers::pi / L;
  for (int i = 0; i < 100; ++i) {
    const double k = 0.5 * (low + high);
    (k * std::tan(k * L) < A / V ? low : high) = k;
  }
  report.figures.push_back(
      {"against the neck as a pipe",
       "Hz",
       low * c / (2 * std::numbers::pi),
       f,
       2e-3,
       true,
       "0.2 % on cells of 2.5 mm",
       {"Munjal (1987), chapter 2: a pipe on a vessel", Confidence::computed}});
  // Decay rate of the amplitude by radiation: R/(2 m) with R = rho c (ka)^2/4, m = rho L.
  const double k = 0.5 * (low + high);
  const double decay = c * k * k * a * a / (8 * L);
  report.figures.push_back({"amplitude of the last fifth of 0.15 s over that of the first",
                            "",
                            std::exp(-decay * 0.12),
                            resonance.growth,
                            0.01,
                            false,
                            "1 %: compressibility in the neck, grid; jet losses at 1 Pa are 0.4 %",
                            {"radiation resistance (ka)^2/4 of an unflanged end at low frequency, "
                             "Levine & Schwinger (1948)",
                             Confidence::from_memory}});
  report.plots.push_back({"pressure in the vessel", "ms", "Pa", {curve}});
  return report;
}

}  // namespace pulsewright::validation
