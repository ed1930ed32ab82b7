// Convergence tables of shipped engines.
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "models/engine_run.hpp"
#include "validation/convergence/convergence.hpp"
#include "validation/convergence/grid_convergence.hpp"
#include "validation/convergence/shipped_case.hpp"

namespace pulsewright::validation {

using models::PointResult;

namespace {

struct Quantity {
  const char* name;
  const char* unit;
  double PointResult::*field;
  double factor;
  double fair;  // of the demo's grid (10 mm), in the printed unit
  const char* why;
};
const std::array<Quantity, 4> quantities{
    {{"torque", "N m", &PointResult::torque, 1, 1.0, "0.2 % of the torque"},
     {"volumetric efficiency", "%", &PointResult::volumetric_efficiency, 100, 0.2,
      "0.2 % of the filling"},
     {"overlap pressure", "kPa", &PointResult::overlap_exhaust_pressure, 1e-3, 0.5,
      "0.5 kPa, 2 % of the usual depression"},
     {"angle of the deepest depression", "deg", &PointResult::depression_angle, 1, 3.0,
      "3 deg: the bottom of the depression is flat"}}};

class Bench {
 public:
  Bench(const char* text, const char* name) : case_(cases::read_case_text(text, name)) {
    // What is left to settle must not be taken for an error of the grid.
    settings_ = case_.run.settings;
    settings_.tolerance = 1e-6;
    settings_.most_cycles = 100;
  }
  models::RunSettings& settings() { return settings_; }

  PointResult run(const std::string& header, double rpm, double cell_size,
                  bool settled = true) const {
    cases::BuildOptions build;
    build.cell_size = cell_size;
    models::EngineRun engine(cases::build_engine(case_, cases::find_concept(case_, header), build),
                             rpm / 60, settings_);
    PointResult result = engine.run();
    if (settled && !result.converged) throw std::runtime_error("the cycle did not settle");
    return result;
  }

 private:
  cases::Case case_;
  models::RunSettings settings_;
};

double value(const Quantity& q, const PointResult& r) { return q.factor * r.*q.field; }

std::string row_text(const Quantity& q, const std::vector<double>& values,
                     const GridConvergence& g) {
  std::string text = fmt::format("{} ({}):", q.name, q.unit);
  for (const double v : values) text += fmt::format(" {:.5g}", v);
  text += g.monotone ? fmt::format("; order {:.2f}, extrapolated {:.5g}, uncertainty {:.2g}. ",
                                   g.order, g.extrapolated, g.uncertainty)
                     : fmt::format("; no order observed, uncertainty {:.2g}. ", g.uncertainty);
  return text;
}

const Source roache{"Roache, J. Fluids Eng. 116 (1994) 405; Roache (1998)", Standing::computed};
const Source own{"bound of our own choosing; index of Roache (1998)", Standing::computed};

// Values on ever finer grids: the table row, the plot, and what is left of the error on the grid
// `used` (index) against the finest ones.
void add_row(CaseReport& report, const Quantity& q, const std::string& label,
             const std::vector<double>& x, const std::vector<double>& values, std::size_t used) {
  const std::size_t n = values.size();
  const GridConvergence g = grid_convergence(values[n - 1], values[n - 2], values[n - 3], 2);
  report.text += row_text(q, values, g);
  report.figures.push_back(
      {fmt::format("{}{}: error and uncertainty of {:g}", label, q.name, x[used]), q.unit, q.fair,
       std::abs(values[used] - g.extrapolated) + g.uncertainty, 0, false, q.why, own,
       Sense::at_most});
  report.plots.push_back({fmt::format("{}{}", label, q.name),
                          "",
                          q.unit,
                          {{"computed", x, values, false},
                           {"extrapolated", {0, x.front()}, {g.extrapolated, g.extrapolated}}}});
}

CaseReport grids(Bench& bench, const std::vector<std::string>& headers, double rpm, Broken broken) {
  CaseReport report;
  const std::vector<double> sizes{20, 10, 5, 2.5};
  report.text = "Cells of 20, 10, 5 and 2.5 mm; cycles settled to 1e-6. ";
  std::vector<std::vector<PointResult>> results;
  for (const auto& header : headers) {
    results.emplace_back();
    for (const double size : sizes) {
      // The finest grids in the wrong order: figures that do not come to rest.
      const double own_size = broken == Broken::coarse_grid && size < 10 ? 160 / size : size;
      results.back().push_back(bench.run(header, rpm, 1e-3 * own_size));
    }
  }
  for (const Quantity& q : quantities) {
    for (std::size_t h = 0; h < headers.size(); ++h) {
      std::vector<double> values;
      for (const auto& r : results[h]) values.push_back(value(q, r));
      add_row(report, q, headers[h] + ", ", sizes, values, 1);
      for (auto& plot : {&report.plots.back()}) plot->x_label = "cell size, mm";
    }
    if (headers.size() < 2) continue;
    // The share of the grid in the verdicts of `compare` is |difference at 10 mm - at 20 mm|.
    std::vector<double> d;
    for (std::size_t k = 0; k < sizes.size(); ++k) {
      d.push_back(value(q, results[1][k]) - value(q, results[0][k]));
    }
    const GridConvergence g = grid_convergence(d[3], d[2], d[1], 2);
    report.text +=
        fmt::format("Difference {} less {}, ", headers[1], headers[0]) + row_text(q, d, g);
  }
  return report;
}

}  // namespace

CaseReport single_cylinder_grids(Broken broken) {
  Bench bench(single_cylinder_text, "single-cylinder.toml");
  CaseReport report = grids(bench, {"0.8 m"}, 5000, broken);
  report.title = "Cell size: one cylinder, one pipe, 5000 rpm";
  return report;
}

CaseReport demo_grids_4500(Broken broken) {
  Bench bench(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report = grids(bench, {"equal", "crossed"}, 4500, broken);
  report.title = "Cell size: demo engine, 4500 rpm";
  return report;
}

CaseReport demo_grids_6000(Broken broken) {
  Bench bench(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report = grids(bench, {"equal", "crossed"}, 6000, broken);
  report.title = "Cell size: demo engine, 6000 rpm";
  return report;
}

CaseReport demo_time_steps(Broken) {
  Bench bench(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report;
  report.title = "Time step: demo engine, 6000 rpm";
  const std::vector<double> courant{0.9, 0.45, 0.225, 0.1125};
  report.text = "Courant numbers 0.9 (the default), 0.45, 0.225 and 0.1125 on cells of 10 mm. ";
  std::vector<PointResult> results;
  for (const double c : courant) {
    bench.settings().courant = c;
    results.push_back(bench.run("equal", 6000, 0.010));
  }
  for (const Quantity& q : quantities) {
    std::vector<double> values;
    for (const auto& r : results) values.push_back(value(q, r));
    add_row(report, q, "", courant, values, 0);
    report.plots.back().x_label = "Courant number";
  }
  return report;
}

CaseReport demo_cycles(Broken) {
  Bench bench(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report;
  report.title = "Number of cycles: demo engine, 6000 rpm";
  report.text =
      "Cycles are run until they repeat within a tolerance; the default is 0.1 %. What stops there "
      "is held against cycles that repeat within 1e-7. ";
  Plot plot{"torque against cycles that were run", "cycles", "N m", {{"equal", {}, {}, true}}};
  std::vector<PointResult> results;
  for (const double tolerance : {1e-2, 1e-3, 1e-4, 1e-5, 1e-7}) {
    bench.settings().tolerance = tolerance;
    results.push_back(bench.run("equal", 6000, 0.010));
    const PointResult& r = results.back();
    report.text += fmt::format("{:g}: {} cycles, {:.3f} N m, {:.3f} kPa. ", tolerance, r.cycles,
                               r.torque, 1e-3 * r.overlap_exhaust_pressure);
    plot.curves[0].x.push_back(r.cycles);
    plot.curves[0].y.push_back(r.torque);
  }
  for (const Quantity& q : quantities) {
    const double settled = value(q, results.back());
    report.figures.push_back({fmt::format("{} at the default tolerance", q.name), q.unit, settled,
                              value(q, results[1]), 0.5 * q.fair, false,
                              "half of what the grid is allowed", own});
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
