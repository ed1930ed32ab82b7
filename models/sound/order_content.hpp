// A trace of one cycle as harmonics of the cycle.
//
//   x(theta) = Re sum over m of c[m] exp(i m theta),  theta from 0 to 2 pi in the cycle of 720 deg
//
// m cycles per cycle are m/2 per revolution: order m/2, half orders are the odd m. The trace is
// taken as one period, evenly sampled; what is beyond half of its samples is not in it
// (band_limit.hpp). Fast Fourier transform of Eigen.
#pragma once

#include <complex>
#include <span>
#include <vector>

namespace pulsewright::models {

// c[m], m from 0; the unit of the trace.
using OrderContent = std::vector<std::complex<double>>;

// Of a trace of n values: m up to (n - 1) / 2. Throws std::invalid_argument for fewer than 3 values
// and one that is not finite.
OrderContent order_content(std::span<const float> trace);

}  // namespace pulsewright::models
