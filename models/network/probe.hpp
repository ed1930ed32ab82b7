// The gas at one place of a pipe.
//
// Linear between the centres of two cells (solver/pipe/interpolation.hpp): second order inside the
// pipe; within half a cell of an end the state of the last cell. The mass flow is that of density,
// velocity and area of the two cells: over time its integral is the change of content to the order
// of the grid, not to round-off.
#pragma once

#include "solver/pipe/pipe.hpp"

namespace pulsewright::models {

struct ProbeState {
  double pressure = 0;     // Pa, static
  double velocity = 0;     // m/s, from the left to the right end
  double temperature = 0;  // K, static
  double mass_flow = 0;    // kg/s, from the left to the right end
};

// At x (m from the left end).
ProbeState probe_state(const solver::Pipe& pipe, double x);

}  // namespace pulsewright::models
