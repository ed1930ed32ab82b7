#include "models/network/probe.hpp"

#include "solver/pipe/interpolation.hpp"

namespace pulsewright::models {

ProbeState probe_state(const solver::Pipe& pipe, double x) {
  // volume / length: the mean area of the cell
  const auto flow = [&](std::ptrdiff_t k) { return pipe.momentum[k] * pipe.volume[k] / pipe.dx(); };
  return {solver::interpolated(pipe, x, pipe.p), solver::interpolated(pipe, x, pipe.u),
          solver::interpolated(pipe, x, pipe.T), solver::interpolated(pipe, x, flow)};
}

}  // namespace pulsewright::models
