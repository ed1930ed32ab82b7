// Effect of primary length and bore on the torque curve.
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <numeric>

#include "models/sizing/hand_rules.hpp"
#include "validation/trends/trends.hpp"
#include "validation/trends/tuned_single.hpp"

namespace pulsewright::validation {

namespace {

double mean(const Sweep& sweep, double from, double to) {
  double sum = 0;
  int n = 0;
  for (std::size_t i = 0; i < sweep.rpm.size(); ++i) {
    if (sweep.rpm[i] < from - 1 || sweep.rpm[i] > to + 1) continue;
    sum += sweep.value[i];
    ++n;
  }
  return sum / n;
}

}  // namespace

CaseReport longer_primary(Broken broken) {
  CaseReport report;
  report.title = "Longer primaries raise torque at low speeds and lower it at high ones";
  report.text =
      "Torque of one cylinder with a short intake, pipes of 0.7 and 1.0 m, below and above the "
      "tuned speed of the shorter one (6150 rpm).";
  const Source source{"length tilts the torque curve about its peak, trade press, restated",
                      Confidence::common_practice};
  Plot plot{"torque", "rpm", "N m", {}};
  Sweep sweeps[2];
  for (const int k : {0, 1}) {
    TunedSingle engine;
    engine.length = k == 0 ? 0.7 : 1.0;
    engine.reflecting = broken != Broken::tuning;
    sweeps[k] = sweep_of(4250, 8000, 250, [&](double n) { return engine.run(n).torque; });
    plot.curves.push_back(curve_of(fmt::format("{} m", engine.length), sweeps[k]));
  }
  const auto change = [&](double from, double to) {
    return mean(sweeps[1], from, to) / mean(sweeps[0], from, to) - 1;
  };
  report.figures = {
      {"torque of the longer pipe over the shorter, 4500 to 5500 rpm, less 1", "", 0.02,
       change(4500, 5500), 0, false, "2 % at least, chosen here", source, Sense::at_least},
      {"torque of the longer pipe over the shorter, 6500 to 7500 rpm, less 1", "", -0.01,
       change(6500, 7500), 0, false, "1 % less at least, chosen here", source, Sense::at_most}};
  report.plots.push_back(plot);
  return report;
}

CaseReport wider_primary(Broken broken) {
  CaseReport report;
  report.title = "A wider primary moves the peak of torque up";
  report.text =
      "One cylinder of 0.625 litres with a short intake and a pipe of 0.8 m. The mean-velocity "
      "rule (peak torque at area in square inches x 88200 / displacement in cubic inches, that is "
      "245 ft/s) is proportional to the area; here the peak moves about half as far, because the "
      "length also fixes it. Both agree at the bore that the rule gives for the tuned speed of "
      "that length.";
  const Source mcfarland{"Car Craft, Header Basics (J. McFarland): 88,200 rule",
                         Confidence::common_practice};
  const Source trend{
      "a wider primary moves the peak up, 500 rpm for an eighth of an inch, trade press, restated",
      Confidence::common_practice};
  Plot plot{"torque", "rpm", "N m", {}};
  Plot peaks{
      "speed of peak torque", "bore, mm", "rpm", {{"88,200 rule", {}, {}}, {"computed", {}, {}}}};
  double before = 0;
  for (const double D : {0.036, 0.040, 0.0443, 0.050}) {
    TunedSingle engine;
    engine.diameter = D;
    engine.reflecting = broken != Broken::tuning;
    const Sweep sweep = sweep_of(4250, 7000, 250, [&](double n) { return engine.run(n).torque; });
    plot.curves.push_back(curve_of(fmt::format("{} mm", 1e3 * D), sweep));
    const double peak = peak_of(sweep);
    const double rule = 60 * models::torque_peak_of_area(std::numbers::pi / 4 * D * D, 0.000625092);
    peaks.curves[0].x.push_back(1e3 * D);
    peaks.curves[0].y.push_back(rule);
    peaks.curves[1].x.push_back(1e3 * D);
    peaks.curves[1].y.push_back(peak);
    if (before > 0) {
      report.figures.push_back(
          {fmt::format("{} mm: speed of peak torque above that of the smaller bore", 1e3 * D),
           "rpm", 100, peak - before, 0, false, "100 rpm at least", trend, Sense::at_least});
    }
    before = peak;
    if (D == 0.0443) {
      report.figures.push_back({"44.3 mm: speed of peak torque", "rpm", rule, peak, 0.15, true,
                                "15 %: the rule's own range of 240 to 260 ft/s and more",
                                mcfarland});
    }
  }
  report.plots = {plot, peaks};
  return report;
}

}  // namespace pulsewright::validation
