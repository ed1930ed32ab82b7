// Convergence tables of shipped engines.
#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "models/engine/point_batch.hpp"
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
  double
      allowed;  // error on the demo's grid (10 mm): in the printed unit, or a fraction of the value
  bool relative;
  const char* why;
};
const std::array<Quantity, 5> quantities{
    {{"torque", "N m", &PointResult::torque, 1, 0.005, true, "0.5 %, chosen here"},
     {"charging efficiency", "%", &PointResult::charging_efficiency, 100, 0.005, true,
      "0.5 %, chosen here"},
     {"overlap pressure", "kPa", &PointResult::overlap_exhaust_pressure, 1e-3, 1.0, false,
      "1 kPa, chosen here"},
     {"deepest depression", "kPa", &PointResult::depression, 1e-3, 0.05, true, "5 %, chosen here"},
     {"angle of the deepest depression", "deg", &PointResult::depression_angle, 1, 3.0, false,
      "3 deg, chosen here: the bottom of a depression is flat"}}};
constexpr std::size_t without_angle = 4;  // of the quantities
// mm. On 2.5 mm at 5000 rpm the torque of the 180-degree header moves by 0.2 N m and repeats within
// 1e-5, but figures of single cylinders go on changing by more than 1e-4 from cycle to cycle.
const std::vector<double> demo_sizes{20, 10, 5};

class EngineRunner {
 public:
  EngineRunner(const char* text, const char* name) : case_(cases::read_case_text(text, name)) {
    // The residual of the cycles must be small against the error of the grid.
    settings_ = as_compared_ = case_.run.settings;
    // Whether there is another pattern is not looked for: that changes no figure of the first one.
    settings_.second_pattern = as_compared_.second_pattern = false;
    settings_.tolerance = 1e-5;
    settings_.most_cycles = 100;
    settings_.accelerate = true;  // to the same periodic cycle, in fewer
  }
  models::RunSettings& settings() { return settings_; }

  PointResult run(const std::string& header, double rpm, double cell_size) const {
    return run_all(header, rpm, {cell_size}).front();
  }
  struct Point {
    std::string header;
    double rpm, cell_size;
  };
  // As `compare` runs them, with its tolerance, together. Throws std::runtime_error for a point
  // that fails.
  std::vector<PointResult> run_as_compared(const std::vector<Point>& points) const {
    std::deque<models::PointSimulation> runs;
    models::PointBatch batch;
    batch.run(
        [&]() -> models::PointSimulation* {
          if (runs.size() == points.size()) return nullptr;
          const Point& p = points[runs.size()];
          return &runs.emplace_back(simulation(p.header, p.rpm, p.cell_size, as_compared_));
        },
        [](models::PointSimulation&, const models::PointBatch::End& end) {
          if (!end.failure.empty()) throw std::runtime_error(end.failure);
        });
    std::vector<PointResult> results;
    for (auto& run : runs) results.push_back(std::move(run.result()));
    return results;
  }
  // On several grids, each of which starts from the end of the one before.
  std::vector<PointResult> run_all(const std::string& header, double rpm,
                                   const std::vector<double>& cell_sizes) const {
    std::vector<PointResult> results;
    std::optional<models::PointSimulation> before;
    for (const double cell_size : cell_sizes) {
      models::PointSimulation engine = simulation(header, rpm, cell_size, settings_);
      if (before) engine.start_from(*before);
      results.push_back(engine.run());
      if (!results.back().converged) throw std::runtime_error("the cycle did not converge");
      before.emplace(std::move(engine));
    }
    return results;
  }

 private:
  models::PointSimulation simulation(const std::string& header, double rpm, double cell_size,
                                     const models::RunSettings& settings) const {
    cases::BuildOptions build;
    build.cell_size = cell_size;
    return {cases::build_engine(case_, cases::find_header(case_, header), build), rpm / 60,
            settings};
  }

  cases::CaseFile case_;
  models::RunSettings settings_;
  models::RunSettings as_compared_;
};

double value(const Quantity& q, const PointResult& r) { return q.factor * r.*q.field; }

// A difference between two headers on the two grids that `compare` runs, 10 and 30 mm, at a speed
// and at those beside it.
struct ComparedGrids {
  struct Speed {
    std::array<PointResult, 2> fine, coarse;  // by header
  };
  std::vector<Speed> speeds;

  ComparedGrids(const EngineRunner& runner, const std::vector<std::string>& headers, double rpm) {
    std::vector<EngineRunner::Point> points;
    for (const double cell_size : {0.010, 0.030}) {
      for (const double at : {rpm - 250, rpm, rpm + 250}) {
        for (std::size_t h = 0; h < 2; ++h) points.push_back({headers[h], at, cell_size});
      }
    }
    const std::vector<PointResult> results = runner.run_as_compared(points);
    for (std::size_t i = 0; i < 6; i += 2) {
      speeds.push_back({{results[i], results[i + 1]}, {results[i + 6], results[i + 7]}});
    }
  }
  // The grid error that `compare` states: index for two grids, the largest at the three speeds.
  double stated_error(const Quantity& q) const {
    double largest = 0;
    for (const Speed& s : speeds) {
      const double fine = value(q, s.fine[1]) - value(q, s.fine[0]);
      const double coarse = value(q, s.coarse[1]) - value(q, s.coarse[0]);
      largest = std::max(largest, 3.0 / (3.0 - 1.0) * std::abs(fine - coarse));
    }
    return largest;
  }
};

std::string row_text(const Quantity& q, const std::vector<double>& values,
                     const GridConvergence& g) {
  std::string text = fmt::format("{} ({}):", q.name, q.unit);
  for (const double v : values) text += fmt::format(" {:.5g}", v);
  text += g.monotone ? fmt::format("; order {:.2f}, extrapolated {:.5g}, uncertainty {:.2g}",
                                   g.order, g.extrapolated, g.uncertainty)
                     : fmt::format("; no order observed, uncertainty {:.2g}", g.uncertainty);
  return text;
}

const Source roache{"Roache, J. Fluids Eng. 116 (1994) 405; Roache (1998)", Confidence::computed};
const Source own{"bound chosen here; index of Roache (1998)", Confidence::computed};

// Values on successively finer grids: the row of text, the plot, and, if `counts`, the error on the
// grid of index `used` as a figure.
void add_row(CaseReport& report, const Quantity& q, const std::string& label,
             const std::vector<double>& x, const std::vector<double>& values, std::size_t used,
             bool counts) {
  const std::size_t n = values.size();
  const GridConvergence g = grid_convergence(values[n - 1], values[n - 2], values[n - 3], 2);
  report.text += "\n" + label + row_text(q, values, g);
  if (counts) {
    report.figures.push_back(
        {fmt::format("{}{}: error of {:g} and uncertainty of the extrapolation", label, q.name,
                     x[used]),
         q.unit, q.relative ? q.allowed * std::abs(g.extrapolated) : q.allowed,
         std::abs(values[used] - g.extrapolated) + g.uncertainty, 0, false, q.why, own,
         Sense::at_most});
  }
  report.plots.push_back({label + q.name,
                          "",
                          q.unit,
                          {{"computed", x, values, false},
                           {"extrapolated", {0, x.front()}, {g.extrapolated, g.extrapolated}}}});
}

// sizes: of the cells in mm, each half of the one before, the second one 10.
CaseReport grids(const EngineRunner& runner, const std::vector<std::string>& headers, double rpm,
                 const std::vector<double>& sizes, std::size_t counting, Broken broken) {
  CaseReport report;
  std::vector<double> cells;
  for (const double size : sizes) {
    // Broken variant: the finest grids replaced by coarse ones, so that nothing converges.
    cells.push_back(1e-3 * (broken == Broken::coarse_grid && size < 10 ? 160 / size : size));
  }
  report.text = fmt::format("Cells of {} mm; cycles converged to 1e-5. ", fmt::join(sizes, ", "));
  std::vector<std::vector<PointResult>> results;
  std::optional<ComparedGrids> compared;
  if (headers.size() > 1) compared.emplace(runner, headers, rpm);
  for (const auto& header : headers) {
    results.push_back(runner.run_all(header, rpm, cells));
  }
  for (std::size_t i = 0; i < quantities.size(); ++i) {
    const Quantity& q = quantities[i];
    for (std::size_t h = 0; h < headers.size(); ++h) {
      std::vector<double> values;
      for (const auto& r : results[h]) values.push_back(value(q, r));
      add_row(report, q, headers[h] + ", ", sizes, values, 1, i < counting);
      report.plots.back().x_label = "cell size, mm";
    }
    if (headers.size() < 2) continue;
    std::vector<double> d;
    for (std::size_t k = 0; k < sizes.size(); ++k) {
      d.push_back(value(q, results[1][k]) - value(q, results[0][k]));
    }
    const GridConvergence g = grid_convergence(d.end()[-1], d.end()[-2], d.end()[-3], 2);
    report.text += fmt::format("\n{} less {}, ", headers[1], headers[0]) + row_text(q, d, g);
    if (q.field != &PointResult::torque && q.field != &PointResult::overlap_exhaust_pressure) {
      continue;
    }
    report.figures.push_back(
        {fmt::format("{}, {} less {}: error at 10 mm against the grid error that `compare` states",
                     q.name, headers[1], headers[0]),
         q.unit, compared->stated_error(q), std::abs(d[1] - g.extrapolated), 0, false,
         "index for two grids: cells of 30 and 10 mm, factor 3, order 1, the largest of this speed "
         "and those 250 rpm beside it",
         roache, Sense::at_most});
  }
  return report;
}

}  // namespace

CaseReport single_cylinder_grids(Broken broken) {
  const EngineRunner runner(single_cylinder_text, "single-cylinder.toml");
  CaseReport report = grids(runner, {"0.8 m"}, 5000, {20, 10, 5, 2.5}, quantities.size(), broken);
  report.title = "Cell size: one cylinder, one pipe, 5000 rpm";
  return report;
}

CaseReport demo_grids_5000(Broken broken) {
  EngineRunner runner(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report =
      grids(runner, {"equal-length", "180-degree"}, 5000, demo_sizes, without_angle, broken);
  report.title = "Cell size: demo engine, 5000 rpm";
  report.text +=
      "\n(Not at 4500 rpm: there strong and weak pulses alternate in the merges of the "
      "180-degree "
      "header, and the alternation dies out over more than a hundred cycles, if at all; near such "
      "a bifurcation the figures do not measure the grid.)";
  return report;
}

CaseReport demo_grids_6000(Broken broken) {
  EngineRunner runner(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report =
      grids(runner, {"equal-length", "180-degree"}, 6000, demo_sizes, quantities.size(), broken);
  report.title = "Cell size: demo engine, 6000 rpm";
  return report;
}

CaseReport demo_time_steps(Broken) {
  EngineRunner runner(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report;
  report.title = "Time step: demo engine, 6000 rpm";
  const std::vector<double> courant{0.9, 0.45, 0.225, 0.1125};
  report.text =
      "Courant numbers 0.9 (the default), 0.45, 0.225 and 0.1125 on cells of 10 mm. Pipes, valves, "
      "junctions and open ends are of second order in the step; half of the small remaining "
      "first-order error comes from friction and heat transfer coefficients, which are updated "
      "every 16 steps only. ";
  std::vector<PointResult> results;
  for (const double c : courant) {
    runner.settings().courant = c;
    results.push_back(runner.run("equal-length", 6000, 0.010));
  }
  for (const Quantity& q : quantities) {
    std::vector<double> values;
    for (const auto& r : results) values.push_back(value(q, r));
    add_row(report, q, "", courant, values, 0, true);
    report.plots.back().x_label = "Courant number";
  }
  return report;
}

CaseReport demo_cycles(Broken) {
  EngineRunner runner(hillclimb_v8_text, "hillclimb-v8.toml");
  CaseReport report;
  report.title = "Number of cycles: demo engine, 6000 rpm";
  report.text =
      "Cycles are run until they repeat within a tolerance; the default is 0.1 %. The result at "
      "each tolerance is compared with the one at 1e-7. ";
  runner.settings().accelerate = false;
  Plot plot{"torque over the number of cycles", "cycles", "N m", {{"equal-length", {}, {}, true}}};
  std::vector<PointResult> results;
  for (const double tolerance : {1e-2, 1e-3, 1e-4, 1e-5, 1e-7}) {
    runner.settings().tolerance = tolerance;
    results.push_back(runner.run("equal-length", 6000, 0.010));
    const PointResult& r = results.back();
    report.text += fmt::format("\ntolerance {:g}: {} cycles, {:.3f} N m, {:.3f} kPa", tolerance,
                               r.cycles, r.torque, 1e-3 * r.overlap_exhaust_pressure);
    plot.curves[0].x.push_back(r.cycles);
    plot.curves[0].y.push_back(r.torque);
  }
  for (const Quantity& q : quantities) {
    const double converged = value(q, results.back());
    report.figures.push_back({fmt::format("{} at the default tolerance", q.name), q.unit, converged,
                              value(q, results[1]), 0.5 * q.allowed, q.relative,
                              "half of the error allowed to the grid", own});
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
