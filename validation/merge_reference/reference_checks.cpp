#include "validation/merge_reference/reference_checks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <thread>

#include "models/network/probe.hpp"
#include "validation/merge/merge_pulse.hpp"
#include "validation/merge_reference/merge_flow.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

namespace {

constexpr double h = 4e-3;                         // m
constexpr double block_pressure_straight = 1.8e5;  // Pa

unsigned all_threads() { return std::max(1U, std::thread::hardware_concurrency()); }

Reconstruction reconstruction_of(Broken broken) {
  return broken == Broken::first_order ? Reconstruction::none : Reconstruction::van_leer;
}

// The straight tube as one pipe, at the stations and times of the traces.
MergeTraces straight_pipe_traces(const MergeTraces& like) {
  constexpr double length = 1.4;        // m
  constexpr double block = 0.25;        // m
  constexpr double cell_size = 2.5e-3;  // m
  models::EngineSpecification e;
  e.ambient = {merge_gas_p, merge_gas_T};
  e.pipes = {smooth_pipe("tube", length, 0.042, cell_size)};
  e.closed_ends = {{{0, models::Side::left}}, {{0, models::Side::right}}};
  PipeRig rig(e, constant_gamma_gas(merge_gas_gamma, merge_gas_R));
  // The edge of the block is the face of two cells.
  rig.network().pipe_set().pipes()[0].fill(rig.network().gas(), [](double x) {
    const double p = x < block ? block_pressure_straight : merge_gas_p;
    return solver::Primitive<double>{merge_gas_density(p), 0, p, 0};
  });
  MergeTraces traces{like.t, {}};
  for (const MergeTrace& trace : like.stations) traces.stations.push_back({trace.station, {}, {}});
  for (const double t : traces.t) {
    rig.run_until(t);
    for (MergeTrace& trace : traces.stations) {
      const double s = trace.station == "m150" ? -0.15 : trace.station == "p200" ? 0.2 : 0.4;
      const auto state = models::probe_state(rig.pipe(0), s + 0.6);
      trace.p.push_back(state.pressure);
      trace.mass_flow.push_back(state.mass_flow);
    }
  }
  return traces;
}

struct PulseFigures {
  double impulse = 0;  // Pa s, over all samples
  double front = 0;    // s, where half the highest pressure is first reached
  double top = 0;      // Pa, mean over 0.2 ms from 0.1 ms behind the front
};

PulseFigures figures_of(const std::vector<double>& t, const std::vector<double>& p) {
  PulseFigures f;
  const double half = 0.5 * (*std::max_element(p.begin(), p.end()) + merge_gas_p);
  int count = 0;
  for (std::size_t k = 1; k < t.size(); ++k) {
    f.impulse += (0.5 * (p[k] + p[k - 1]) - merge_gas_p) * (t[k] - t[k - 1]);
    if (f.front == 0 && p[k] > half) {
      f.front = t[k - 1] + (t[k] - t[k - 1]) * (half - p[k - 1]) / (p[k] - p[k - 1]);
    }
    if (f.front == 0 || t[k] < f.front + 1e-4 || t[k] > f.front + 3e-4) continue;
    f.top += p[k] - merge_gas_p;
    ++count;
  }
  f.top /= std::max(count, 1);
  return f;
}

// Over the samples of l.
double rms(const std::vector<double>& l, const std::vector<double>& r) {
  double squares = 0;
  for (std::size_t k = 0; k < l.size(); ++k) squares += std::pow(l[k] - r.at(k), 2);
  return std::sqrt(squares / static_cast<double>(l.size()));
}

Curve curve_of(const std::string& name, const MergeTraces& traces, std::size_t station,
               bool points) {
  Curve curve{name, {}, {}, points};
  for (std::size_t k = 0; k < traces.t.size(); ++k) {
    curve.x.push_back(1e3 * traces.t[k]);
    curve.y.push_back(1e-3 * traces.stations[station].p[k]);
  }
  return curve;
}

}  // namespace

CaseReport reference_straight_tube(Broken broken) {
  constexpr double duration = 1.9e-3;  // s
  const FlowRun run = run_flow(straight_tube_problem(10, block_pressure_straight), h, duration,
                               all_threads(), reconstruction_of(broken));
  const MergeTraces pipe = straight_pipe_traces(run.traces);
  CaseReport report;
  report.title = "Straight tube, the three-dimensional reference against one pipe";
  report.text = fmt::format(
      "A tube of 42 mm and 1.4 m, inclined 10 degrees to a grid of {:.3g} mm ({} cells, {} steps), "
      "gas of 1.8 bar in its outer 0.25 m. The same as one pipe, on cells of 2.5 mm. The reference "
      "itself stands on cells of 0.75 to 2 mm.",
      1e3 * h, run.cells, run.steps);
  const Source source{
      "the one-dimensional program, whose shock tubes are held against exact "
      "solutions in the group waves",
      Confidence::computed};
  const std::string edge =
      "a cell begins with the gas of its centroid, so the block of 250 mm ends within half a cube "
      "of "
      "its place; half of that is held";
  const std::string front =
      "half a cube at the speed of the front, 600 m/s; read from samples every 20 us";
  const std::string level = "away from the front the error is of second order";
  const std::string spread =
      "the fronts are spread over two to three cubes; without reconstruction 7.5 %";
  for (std::size_t i = 0; i < 2; ++i) {
    const MergeTrace& three = run.traces.stations[i];
    const PulseFigures ours = figures_of(run.traces.t, three.p);
    const PulseFigures theirs = figures_of(pipe.t, pipe.stations[i].p);
    const std::string& name = three.station;
    report.figures.push_back(
        {name + ": impulse", "Pa s", theirs.impulse, ours.impulse, 0.004, true, edge, source});
    report.figures.push_back({name + ": front", "us", 1e6 * theirs.front, 1e6 * ours.front,
                              1e6 * 0.5 * h / 600, false, front, source});
    report.figures.push_back(
        {name + ": top", "Pa", theirs.top, ours.top, 0.0005, true, level, source});
    report.figures.push_back({name + ": rms of the difference", "of the top", 0,
                              rms(three.p, pipe.stations[i].p) / theirs.top, 0.03, false, spread,
                              source, Sense::at_most});
    report.plots.push_back({"Straight tube: " + name,
                            "t, ms",
                            "p, kPa",
                            {curve_of("three-dimensional", run.traces, i, true),
                             curve_of("one pipe", pipe, i, false)}});
  }
  report.figures.push_back(
      {"mass: change of the sum", "", 0, run.mass_drift, 1e-12, false, "rounding", source});
  return report;
}

CaseReport reference_again(Broken broken) {
  constexpr double duration = 2.2e-3;  // s, until the pulse has passed all stations
  const MergeCase& merge_case = merge_case_named("B", "p18");
  const MergeReference stored = merge_reference(merge_case);
  const MergeReference same_grid = merge_reference(merge_case, h);
  const FlowRun run =
      run_flow(merge_problem(merge_case), h, duration, all_threads(), reconstruction_of(broken));
  CaseReport report;
  report.title = "Two tubes into one, the three-dimensional reference once more";
  report.text = fmt::format(
      "Geometry B, case p18, on cubes of {:.3g} mm ({} cells, {} steps), against the trace that is "
      "stored from cubes of {:.3g} mm, which shows the grid error, and against one from cubes of "
      "the same size by the other program of the reference (merge_reference/README.md), which "
      "shows that both compute the same.",
      1e3 * h, run.cells, run.steps, 1e3 * stored.grid);
  const double driving = driving_wave(merge_case);
  const auto add = [&](const std::string& what, const MergeTraces& theirs,
                       const std::array<double, 4>& most, const std::string& why) {
    for (std::size_t i = 0; i < most.size(); ++i) {
      report.figures.push_back(
          {theirs.stations.at(i).station + ": rms of the difference from " + what,
           "of the driving wave",
           0,
           rms(run.traces.stations[i].p, theirs.stations[i].p) / driving,
           most[i],
           false,
           why,
           {"own three-dimensional Euler computation, stored", Confidence::computed},
           Sense::at_most});
    }
  };
  // Drive, across, collector at 200 and 400 mm: cubes of 2 mm against 1 mm.
  constexpr std::array<double, 4> error_of_2_mm{0.0112, 0.0073, 0.0021, 0.0055};
  std::array<double, 4> grid_error{};
  std::transform(error_of_2_mm.begin(), error_of_2_mm.end(), grid_error.begin(),
                 [](double error) { return 4 * error; });
  add(fmt::format("{:.3g} mm", 1e3 * stored.grid), stored.traces, grid_error,
      "four times that of cubes of 2 mm, which a method of second order keeps");
  add("the same grid", same_grid.traces, {2e-4, 2e-4, 2e-4, 2e-4},
      "stored to 1 Pa, 3e-5 of the driving wave; the programs choose their time steps differently");
  for (std::size_t i = 0; i < run.traces.stations.size(); ++i) {
    report.plots.push_back(
        {"B p18: " + run.traces.stations[i].station,
         "t, ms",
         "p, kPa",
         {curve_of("stored", stored.traces, i, true), curve_of("again", run.traces, i, false)}});
  }
  return report;
}

}  // namespace pulsewright::validation
