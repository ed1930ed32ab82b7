// Values of a pipe between its cell centres.
//
// Linear between the centres of two cells, and beyond the outermost centres the value there: second
// order in the interior, first at the ends. What is interpolated need not be a stored field.
#pragma once

#include <algorithm>
#include <cstddef>

#include "solver/pipe/pipe.hpp"

namespace pulsewright::solver {

// At x (m from the left end); value(k): the value of cell k, k = 0 .. cells - 1, of which two are
// asked.
template <class Value>
double interpolated(const Pipe& pipe, double x, const Value& value) {
  const auto last = static_cast<double>(pipe.cells() - 1);
  const double position = std::clamp(x / pipe.dx() - 0.5, 0.0, last);  // in cells from the first
  const auto k = static_cast<std::ptrdiff_t>(std::min(position, last - 1.0));
  const double t = position - static_cast<double>(k);
  return (1.0 - t) * value(k) + t * value(k + 1);
}

// Of a field.
inline double interpolated(const Pipe& pipe, double x, const CellArray& field) {
  return interpolated(pipe, x, [&](std::ptrdiff_t k) { return field[k]; });
}

}  // namespace pulsewright::solver
