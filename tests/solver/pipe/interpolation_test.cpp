// Values between cell centres: exact for what is linear in x, constant beyond the outer centres.
#include "solver/pipe/interpolation.hpp"

#include <doctest/doctest.h>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace solver;

TEST_CASE("interpolation between cell centres: linear within, constant beyond the outer ones") {
  // Centres at 0.05, 0.15, ... 0.95 m.
  Pipe pipe("tube", 1.0, 10, [](double) { return 0.04; }, {0.0, 1.0});
  for (std::size_t i = 0; i < 10; ++i) {
    pipe.T_wall[static_cast<std::ptrdiff_t>(i)] = 300 + 100 * pipe.centre(i);
  }
  for (const double x : {0.05, 0.1, 0.37, 0.85, 0.9, 0.95}) {
    CAPTURE(x);
    CHECK(near(interpolated(pipe, x, pipe.T_wall), 300 + 100 * x, 1e-14));
  }
  for (const double x : {-1.0, 0.0, 0.02}) CHECK(interpolated(pipe, x, pipe.T_wall) == 305);
  for (const double x : {0.98, 1.0, 7.0}) {
    CHECK(near(interpolated(pipe, x, pipe.T_wall), 395, 1e-14));
  }
  // What is no field, and only cells 0 .. 9 are asked.
  const double squares = interpolated(pipe, 0.5, [](std::ptrdiff_t k) {
    CHECK((k >= 0 && k <= 9));
    return static_cast<double>(k * k);
  });
  CHECK(near(squares, (16 + 25) / 2.0, 1e-14));
}

}  // namespace pulsewright::tests
