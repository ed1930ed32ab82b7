// The reference_kernel of the bench: the plainest way to step a pipe. First order, one flux
// function, one scalar loop, a gas of constant gamma, no area, friction or heat, compiled with -O2
// for the plainest machine. It knows nothing of the solver's kernels, so that it stays what it is
// while they change, and every figure of a run can be held against it.
#pragma once

#include <cstddef>
#include <vector>

namespace pulsewright::bench {

struct ReferencePipe {
  std::vector<double> rho, momentum, energy, burnt;  // per volume

  explicit ReferencePipe(std::size_t cells);
};

// One step between walls; dt over dx in s/m.
void step_reference_kernel(ReferencePipe& pipe, double dt_over_dx);

}  // namespace pulsewright::bench
