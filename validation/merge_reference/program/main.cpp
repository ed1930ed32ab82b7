// Computes one case of the three-dimensional reference and compares it with the stored trace.
//
//   pulsewright_merge_reference GEOMETRY CASE [CELL_MM [THREADS]] > trace.csv
//   pulsewright_merge_reference straight-tube ANGLE_DEG [CELL_MM [THREADS]] > trace.csv
//
// The trace goes to stdout in the format of traces/, all else to stderr. Exit code: 0 computed, 1
// it could not be, 2 wrong use.
#include <chrono>
#include <cstdio>
#include <exception>
#include <fmt/format.h>
#include <string>
#include <thread>
#include <vector>

#include "validation/merge/merge_pulse.hpp"
#include "validation/merge_reference/merge_flow.hpp"

namespace {

using namespace pulsewright::validation;

constexpr double duration = 2.6e-3;  // s, of the stored traces

void print_trace(const MergeTraces& traces) {
  std::string text = "t_s";
  for (const MergeTrace& trace : traces.stations) {
    text += fmt::format(",{0}_p_pa,{0}_mdot_kg_s", trace.station);
  }
  text += '\n';
  for (std::size_t k = 0; k < traces.t.size(); ++k) {
    text += fmt::format("{:.2e}", traces.t[k]);
    for (const MergeTrace& trace : traces.stations) {
      text += fmt::format(",{:.0f},{:.5f}", trace.p[k], trace.mass_flow[k]);
    }
    text += '\n';
  }
  std::fputs(text.c_str(), stdout);
}

void print_comparison(const MergeCase& merge_case, const MergeTraces& computed) {
  const MergeReference stored = merge_reference(merge_case);
  fmt::print(stderr, "against the stored trace (cubes of {:.3g} mm), before echoes:\n",
             1e3 * stored.grid);
  for (const StationComparison& s : compare_stations(merge_case, stored.traces, computed)) {
    fmt::print(stderr, "{:8} rms {:.2f} % of the driving wave, impulse {:.3f} Pa s ({:+.1f} %)\n",
               s.station, 100 * s.rms, s.computed.impulse,
               100 * (s.computed.impulse / s.reference.impulse - 1));
  }
}

int run(const std::vector<std::string>& words) {
  const double h = 1e-3 * (words.size() > 2 ? std::stod(words[2]) : 2.0);
  const unsigned threads = words.size() > 3 ? static_cast<unsigned>(std::stoul(words[3]))
                                            : std::thread::hardware_concurrency();
  const bool straight = words[0] == "straight-tube";
  const FlowProblem problem = straight ? straight_tube_problem(std::stod(words[1]), 1.8e5)
                                       : merge_problem(merge_case_named(words[0], words[1]));
  const auto start = std::chrono::steady_clock::now();
  const FlowRun flow = run_flow(problem, h, duration, threads, Reconstruction::van_leer,
                                [](double t) { fmt::print(stderr, "\r{:.2f} ms", 1e3 * t); });
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
  fmt::print(stderr,
             "\n{} cells, {:.5e} m3, {} steps, {:.0f} s; change of mass {:.1e}, of energy {:.1e}\n",
             flow.cells, flow.volume, flow.steps, seconds.count(), flow.mass_drift,
             flow.energy_drift);
  print_trace(flow.traces);
  if (!straight) print_comparison(merge_case_named(words[0], words[1]), flow.traces);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  if (words.size() < 2 || words.size() > 4) {
    fmt::print(stderr,
               "usage: {0} GEOMETRY CASE [CELL_MM [THREADS]]\n"
               "       {0} straight-tube ANGLE_DEG [CELL_MM [THREADS]]\n",
               argv[0]);
    return 2;
  }
  try {
    return run(words);
  } catch (const std::exception& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
}
