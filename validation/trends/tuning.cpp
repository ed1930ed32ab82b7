// The speed at which a pipe is tuned: length, opening period of the valve, and overlap.
#include <cmath>
#include <fmt/format.h>

#include "validation/trends/trends.hpp"
#include "validation/trends/tuned_single.hpp"

namespace pulsewright::validation {

namespace {

constexpr double end_correction = 0.6133 * 0.5 * 0.0443;  // m

// Length from the valve for a speed, m: P = 850 (180 + EVO)/rpm - 3 inches, Bell (1981). Solved for
// the speed.
double speed_of_bell(double length, double opens) {
  const double degrees = 180 + (180 - opens);
  return 850 * degrees / (length / 0.0254 + 3);
}

const Source bell{
    "Bell (1981), length of a tuned primary (formula restated, its range from memory)",
    Confidence::restated};

}  // namespace

CaseReport tuned_length(Broken broken) {
  CaseReport report;
  report.title = "Tuned speed against length of the pipe";
  report.text =
      "Gain of charging efficiency by the reflection at the open end, compared with an anechoic "
      "pipe. First peak (the highest speed of tuning) against the hand formula; second peak "
      "against the acoustic limit, in which length times speed is constant, because the pulse is "
      "then short against the travel of the wave. At the first peak the pulse is as long as the "
      "pipe, so that the tuned speed falls more slowly than 1/L, and the hand formula, "
      "proportional to 1/L, intersects it near 1 m.";
  Plot plot{"gain of charging efficiency", "rpm", "", {}};
  struct First {
    double length, from, to;
  };
  double before = 0;
  for (const First& row :
       {First{0.7, 5000, 7500}, First{1.0, 4250, 6500}, First{1.4, 3250, 5500}}) {
    TunedSingle engine;
    engine.length = row.length;
    const Sweep sweep =
        sweep_of(row.from, row.to, 250, [&](double n) { return tuning_gain(engine, n, broken); });
    plot.curves.push_back(curve_of(fmt::format("{} m, first peak", row.length), sweep));
    const double peak = peak_of(sweep);
    report.figures.push_back({fmt::format("{} m: speed of the first peak", row.length), "rpm",
                              speed_of_bell(row.length, engine.exhaust_opens), peak, 0.2, true,
                              "20 %: hand formulas differ from each other by more", bell});
    if (before > 0) {
      report.figures.push_back(
          {fmt::format("{} m: speed of the first peak, less than that of the shorter pipe",
                       row.length),
           "rpm",
           before,
           peak,
           0,
           false,
           "chosen here: any lower speed",
           {"a longer pipe is tuned to a lower speed", Confidence::common_practice},
           Sense::at_most});
    }
    before = peak;
  }
  std::vector<double> product;
  struct Second {
    double length, from, to;
  };
  for (const Second& row :
       {Second{0.5, 3500, 5000}, Second{0.7, 2500, 4000}, Second{1.0, 1750, 3000}}) {
    TunedSingle engine;
    engine.length = row.length;
    const Sweep sweep =
        sweep_of(row.from, row.to, 125, [&](double n) { return tuning_gain(engine, n, broken); });
    plot.curves.push_back(curve_of(fmt::format("{} m, second peak", row.length), sweep));
    product.push_back(peak_of(sweep) * (row.length + end_correction));
  }
  const double mean = (product[0] + product[1] + product[2]) / 3;
  for (std::size_t k = 0; k < 3; ++k) {
    report.figures.push_back(
        {fmt::format("second peak: speed times corrected length, pipe {} of 3", k + 1),
         "rpm m",
         mean,
         product[k],
         0.1,
         true,
         "10 %: the gas cools along a longer pipe, and the angle of the pulse moves with speed",
         {"acoustic limit, with the end of Levine & Schwinger, Phys. Rev. 73 (1948) 383; mean of "
          "the three",
          Confidence::computed}});
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport opening_period(Broken broken) {
  CaseReport report;
  report.title = "Tuned speed against the opening period of the exhaust valve";
  report.text =
      "Fukuda and Izumi found the greatest output of a small four-stroke at one value of Q = c "
      "theta / (12 k N l), theta the period (deg) in which the exhaust valve is open, c the mean "
      "speed of sound, N the speed, l the length with its end correction. The value of the "
      "matching factor k was not available, so only the proportionality is checked: at one length "
      "the tuned speed is proportional to theta. The exhaust valve opens 20 deg later here, theta "
      "272 instead of 292 deg.";
  const Source fukuda{
      "Fukuda & Izumi, Mem. Fac. Eng. Yamaguchi Univ. 16 (1965) 71 (abstract read; k not "
      "available)",
      Confidence::original};
  Plot plot{"gain of charging efficiency", "rpm", "", {}};
  struct Row {
    double length, from, to;
  };
  for (const Row& row : {Row{0.7, 5000, 7500}, Row{1.0, 4000, 6500}, Row{1.4, 3000, 5500}}) {
    double peak[2];
    for (const int k : {0, 1}) {
      TunedSingle engine;
      engine.length = row.length;
      engine.exhaust_opens = k == 0 ? 102 : 122;
      const Sweep sweep =
          sweep_of(row.from, row.to, 250, [&](double n) { return tuning_gain(engine, n, broken); });
      peak[k] = peak_of(sweep);
      plot.curves.push_back(
          curve_of(fmt::format("{} m, opens at {} deg", row.length, engine.exhaust_opens), sweep));
    }
    report.figures.push_back(
        {fmt::format("{} m: tuned speed for 272 deg over that for 292 deg", row.length), "",
         272.0 / 292.0, peak[1] / peak[0], 0.06, true,
         "6 %: sweeps in steps of 250 rpm; broad peaks", fukuda});
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport overlap_needed(Broken broken) {
  CaseReport report;
  report.title = "Without overlap a tuned exhaust gains little";
  report.text =
      "Gain of charging efficiency by the reflection, pipe of 1 m, intake opening 36 deg before "
      "top dead centre (70 deg of overlap) and at exhaust closing (no overlap).";
  const Source vizard{
      "a tuned exhaust gains with overlap only: trade press (Popular Hot Rodding, 2011)",
      Confidence::common_practice};
  for (const double rpm : {5000.0, 5500.0, 6000.0}) {
    TunedSingle engine;
    engine.length = 1.0;
    const double with = tuning_gain(engine, rpm, broken);
    engine.intake_opens = TunedSingle::exhaust_closes;
    const double without = tuning_gain(engine, rpm, broken);
    report.figures.push_back({fmt::format("{:.0f} rpm: gain with 70 deg of overlap", rpm), "", 0.04,
                              with, 0, false, "chosen here", vizard, Sense::at_least});
    report.figures.push_back(
        {fmt::format("{:.0f} rpm: gain without overlap over that with it", rpm), "", 0,
         without / with, 0.3, false, "chosen here", vizard});
  }
  return report;
}

}  // namespace pulsewright::validation
