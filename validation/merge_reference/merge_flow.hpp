// The flow in a merge or a straight tube in three dimensions: regions of gas at rest at different
// pressures, and what passes the stations afterwards.
#pragma once

#include "validation/merge/merge_reference.hpp"
#include "validation/merge_reference/euler_3d.hpp"

namespace pulsewright::validation {

struct FlowStation {
  std::string name;
  std::size_t tube = 0;  // of the region
  double s = 0;          // m, along its axis
};

// Gas at rest of one entropy.
struct FlowProblem {
  std::vector<RoundTube> region;
  std::vector<FlowStation> stations;
  std::function<double(const Vector3&)> pressure;  // Pa, at the beginning
};

// A case of the reference. Of a pair of tubes that mirror each other the one with y <= 0 is left
// to symmetry; the region has both halves of those in the plane.
FlowProblem merge_problem(const MergeCase& merge_case);

// A tube of 42 mm and 1.4 m with both ends closed, from s = -0.6 to 0.8 m, its axis inclined to z
// by the angle (degrees), with gas of the pressure (Pa) in its outer 0.25 m. Stations "m150",
// "p200" and "p400" at s = -0.15, 0.2 and 0.4 m.
FlowProblem straight_tube_problem(double angle_deg, double pressure);

struct FlowRun {
  MergeTraces traces;  // every 0.02 ms
  double volume = 0;   // m3, of the grid, both halves
  std::size_t cells = 0;
  long steps = 0;
  double mass_drift = 0, energy_drift = 0;  // of the sum at the beginning
};

// Runs for a time (s) on cubes of h (m); `watch` gets the time after each sample. Throws what
// make_cut_cell_grid() and Euler3::step() throw.
FlowRun run_flow(const FlowProblem& problem, double h, double duration, unsigned threads,
                 Reconstruction reconstruction = Reconstruction::van_leer,
                 const std::function<void(double)>& watch = {});

}  // namespace pulsewright::validation
