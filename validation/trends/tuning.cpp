// The speed at which a pipe is tuned: length, opening period of the valve, and overlap.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "models/sizing/hand_rules.hpp"
#include "validation/trends/trends.hpp"
#include "validation/trends/tuned_single.hpp"

namespace pulsewright::validation {

namespace {

constexpr double end_correction = 0.6133 * 0.5 * 0.0443;  // m
constexpr double middle_of_overlap = 359;                 // deg

const Source bell{
    "Bell (1981), length of a tuned primary (formula restated, its range from memory)",
    Confidence::restated};

// What the reflection at the open end does over speed, against a pipe without it.
struct Tuned {
  Sweep filling;  // gain of charging efficiency
  Sweep suction;  // fall of the mean pressure at the exhaust valve over overlap, Pa
};

Tuned sweep_tuned(TunedSingle engine, double from, double to, Broken broken) {
  Tuned tuned;
  for (double n = from; n <= to + 1; n += 250) {
    engine.reflecting = false;
    const models::PointResult without = engine.run(n);
    engine.reflecting = broken != Broken::tuning;
    const models::PointResult with = engine.run(n);
    tuned.filling.rpm.push_back(n);
    tuned.suction.rpm.push_back(n);
    tuned.filling.value.push_back(with.charging_efficiency - without.charging_efficiency);
    tuned.suction.value.push_back(without.overlap_exhaust_pressure - with.overlap_exhaust_pressure);
  }
  return tuned;
}

// Time that a pulse has from the valve back to the middle of overlap, times the speed of sound, up
// to a constant factor: crank angle from the centroid of the outgoing wave on, over the speed,
// times the root of the gas temperature. From an engine without reflection, so that it knows no
// length.
double way_to_overlap(double rpm) {
  TunedSingle engine;
  engine.length = 1.0;
  engine.reflecting = false;
  const models::PointResult r = engine.run(rpm);
  const std::vector<float>& wave = r.traces[0].exhaust_outgoing;
  double sum = 0;
  double moment = 0;
  for (std::size_t i = 0; i < wave.size(); ++i) {
    const double angle = 720.0 * static_cast<double>(i) / static_cast<double>(wave.size());
    const double height = std::max(0.0F, wave[i]);
    if (angle < engine.exhaust_opens || angle > TunedSingle::exhaust_closes) continue;
    sum += height;
    moment += height * angle;
  }
  return (middle_of_overlap - moment / sum) / rpm * std::sqrt(r.exhaust_temperature);
}

// Slope of the logarithm of y over that of x.
double exponent(double x1, double y1, double x2, double y2) {
  return std::log(y2 / y1) / std::log(x2 / x1);
}

void add_first_peaks(CaseReport& report, Broken broken) {
  Plot suction{"fall of the overlap pressure by the reflection", "rpm", "Pa", {}};
  Plot filling{"gain of charging efficiency", "rpm", "", {}};
  Table table{"Speed of tuning, rpm",
              {"length, m", "hand formula", "deepest suction over overlap", "best filling"},
              {}};
  struct First {
    double length, from, to;
  };
  std::vector<double> lengths;
  std::vector<double> deepest;
  std::vector<double> best;
  for (const First& row :
       {First{0.7, 5000, 8250}, First{1.0, 4250, 6750}, First{1.4, 3250, 5500}}) {
    TunedSingle engine;
    engine.length = row.length;
    const Tuned tuned = sweep_tuned(engine, row.from, row.to, broken);
    suction.curves.push_back(curve_of(fmt::format("{} m", row.length), tuned.suction));
    filling.curves.push_back(curve_of(fmt::format("{} m", row.length), tuned.filling));
    lengths.push_back(row.length + end_correction);
    deepest.push_back(peak_of(tuned.suction));
    best.push_back(peak_of(tuned.filling));
    const double formula = 60 * models::speed_of_length(row.length, 180 - engine.exhaust_opens);
    table.rows.push_back({fmt::format("{}", row.length), fmt::format("{:.0f}", formula),
                          fmt::format("{:.0f}", deepest.back()),
                          fmt::format("{:.0f}", best.back())});
    if (row.length > 1.2) continue;  // longer than primaries are built
    report.figures.push_back({fmt::format("{} m: speed of the deepest suction", row.length), "rpm",
                              formula, deepest.back(), 0.12, true,
                              "12 %: hand formulas differ from each other by more", bell});
  }
  // dlnN (1 - s) = -dlnL where way_to_overlap() N goes with N^s.
  const double s =
      1 + exponent(deepest[2], way_to_overlap(deepest[2]), deepest[0], way_to_overlap(deepest[0]));
  report.figures.push_back(
      {"exponent of the length in the speed of the deepest suction, 0.7 to 1.4 m",
       "",
       -1 / (1 - s),
       exponent(lengths[0], deepest[0], lengths[2], deepest[2]),
       0.08,
       false,
       "0.08: waves of finite height, whose shape changes on the way",
       {"kinematics: 12 N L / a deg for the round trip, from the centroid of the pulse without "
        "reflection to the middle of overlap",
        Confidence::computed}});
  for (const std::size_t k : {1U, 2U}) {
    report.figures.push_back(
        {fmt::format("{:.1f} m: speed of best filling, less than that of the shorter pipe",
                     lengths[k] - end_correction),
         "rpm",
         best[k - 1],
         best[k],
         0,
         false,
         "chosen here: any lower speed",
         {"a longer pipe is tuned to a lower speed", Confidence::common_practice},
         Sense::at_most});
  }
  report.tables.push_back(table);
  report.plots.push_back(suction);
  report.plots.push_back(filling);
}

void add_second_peaks(CaseReport& report, Broken broken) {
  Plot plot{"gain of charging efficiency, second peak", "rpm", "", {}};
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
    plot.curves.push_back(curve_of(fmt::format("{} m", row.length), sweep));
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
}

}  // namespace

CaseReport tuned_length(Broken broken) {
  CaseReport report;
  report.title = "Tuned speed against length of the pipe";
  report.text =
      "Effect of the reflection at the open end, compared with an anechoic pipe. First peak: the "
      "deepest suction over overlap against the hand formula and against kinematics; second peak: "
      "the best filling against the acoustic limit, in which length times speed is constant. The "
      "hand formula gives the wave a fixed crank angle, so that its speed goes with L^-0.93. In "
      "the "
      "model the exponent is smaller in size, because blowdown takes a time and not an angle: the "
      "faster the engine, the later the pulse leaves, and the less angle is left until overlap; "
      "the "
      "exponent that follows from the angle of the pulse without any reflection is the expected "
      "value. Best filling is another thing than deepest suction: the gas in ports and valve needs "
      "time to follow, so that at high speed the suction must come before the middle of overlap, "
      "which moves the best filling of short pipes down and its exponent to about -0.5.";
  add_first_peaks(report, broken);
  add_second_peaks(report, broken);
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
         272.0 / 292.0, peak[1] / peak[0], 0.03, true,
         "3 %, less than half of the effect: sweeps in steps of 250 rpm; broad peaks", fukuda});
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
