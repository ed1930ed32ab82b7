// Transmission loss of chambers and cones in one tube, as case files describe them.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/sizing/circle.hpp"
#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/four_pole.hpp"
#include "validation/acoustics/spectrum.hpp"
#include "validation/rig/case_pipes.hpp"

namespace pulsewright::validation {

using models::Side;

namespace {

constexpr double c_tube = 343.24;  // m/s
constexpr double end_bore = 0.05;  // m, at both ends

// From the first pipe to the last, of one bore; dB.
double loss_of(const FourPole& T, double Z) {
  return 20 * std::log10(0.5 * std::abs(T(0, 0) + T(0, 1) / Z + T(1, 0) * Z + T(1, 1)));
}

struct SteppedTube {
  const char* name;
  const char* steps;  // of the case file
  FourPole (*between)(const Medium&, Complex);
  double tolerance;  // dB
  const char* why;
};

}  // namespace

CaseReport stepped_tube(Broken broken) {
  CaseReport report;
  report.title = "Chamber and cones in a tube, by steps: transmission loss over frequency";
  report.text =
      "A tube of 50 mm with primary_steps: a chamber of 100 mm and 0.5 m with sudden ends, the "
      "same with cones of 150 mm at both ends, and the chamber behind a cone alone. Spectrum of a "
      "pulse of 50 Pa, against the product of the four-poles of their pieces.";
  const Source source{"Munjal (1987), chapter 2: four-poles of tubes and cones",
                      Confidence::computed};
  const SteppedTube tubes[] = {
      {"chamber",
       R"([{ at = "400 mm", tube = "100 mm ID" }, { at = "900 mm", tube = "50 mm ID" }])",
       [](const Medium& gas, Complex s) {
         return pipe_four_pole(gas, 0.5, models::circle_area(0.1), s);
       },
       1.0,
       "1 dB, as of the expansion chamber between pipes: the loss rises steeply from its zero at "
       "343 Hz, and the volume of the two joints lengthens the chamber by 2 %"},
      {"chamber with cones",
       R"([{ at = "400 mm", tube = "100 mm ID", cone_length = "150 mm" },
           { at = "750 mm", tube = "50 mm ID", cone_length = "150 mm" }])",
       [](const Medium& gas, Complex s) -> FourPole {
         return cone_four_pole(gas, 0.15, 0.05, 0.1, s) *
                pipe_four_pole(gas, 0.2, models::circle_area(0.1), s) *
                cone_four_pole(gas, 0.15, 0.1, 0.05, s);
       },
       0.3, "0.3 dB on cells of 10 mm"},
      {"cone into a chamber",
       R"([{ at = "400 mm", tube = "100 mm ID", cone_length = "300 mm" },
           { at = "900 mm", tube = "50 mm ID" }])",
       [](const Medium& gas, Complex s) -> FourPole {
         return cone_four_pole(gas, 0.3, 0.05, 0.1, s) *
                pipe_four_pole(gas, 0.2, models::circle_area(0.1), s);
       },
       0.3, "0.3 dB on cells of 10 mm"}};
  for (const SteppedTube& tube : tubes) {
    auto e = exhaust_pipes(
        "", fmt::format("kind = \"equal-length\"\nprimary_tube = \"50 mm ID\"\nprimary_length = "
                        "\"1400 mm\"\nprimary_steps = {}",
                        tube.steps));
    for (auto& pipe : e.pipes) {
      pipe.friction = false;
      if (broken == Broken::area_term) pipe.profile = {{0, end_bore}};
    }
    const auto gas = gas_with_sound_speed(c_tube, e.ambient.temperature);
    const int last = static_cast<int>(e.pipes.size()) - 1;
    e.anechoic_ends = {{{last, Side::right}}};
    const StillGas still = still_gas(gas, e.ambient);
    WaveRecord before(still, 0, 10);
    WaveRecord behind(still, e.pipes.size() - 1,
                      e.pipes[static_cast<std::size_t>(last)].cells() - 5);
    PipeRig rig(with_wave(e, {0, Side::left}, pulse(e.ambient.pressure, 100.0, 0.8e-3)), gas);
    record(rig, 0.12, {&before, &behind});
    const Medium medium{still.rho, still.c};
    const double Z = medium.rho * medium.c / models::circle_area(end_bore);
    Plot plot{tube.name, "Hz", "dB", {{"four-poles", {}, {}}, {"computed", {}, {}, true}}};
    double worst = 0;
    double highest = 0;
    for (double f = 20; f <= 600; f += 10) {
      const Complex s(0, 2 * std::numbers::pi * f);
      const double expected = loss_of(tube.between(medium, s), Z);
      const double computed = 20 * std::log10(std::abs(before.right(s) / behind.right(s)));
      plot.curves[0].x.push_back(f);
      plot.curves[0].y.push_back(expected);
      plot.curves[1].x.push_back(f);
      plot.curves[1].y.push_back(computed);
      worst = std::max(worst, std::abs(computed - expected));
      highest = std::max(highest, expected);
    }
    report.plots.push_back(plot);
    report.figures.push_back({fmt::format("{}: worst deviation, 20 to 600 Hz, of losses up to "
                                          "{:.1f} dB",
                                          tube.name, highest),
                              "dB", 0, worst, tube.tolerance, false, tube.why, source});
  }
  return report;
}

}  // namespace pulsewright::validation
