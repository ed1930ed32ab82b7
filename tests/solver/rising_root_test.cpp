// The bracketed root of a rising function, for doubles and packs.
#include "solver/rising_root.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "tests/near.hpp"

using namespace pulsewright::solver;
using pulsewright::tests::near;

TEST_CASE("rising root: roots that are known") {
  const auto cube = [](double x) { return x * x * x - 2.0; };
  for (const double guess : {0.0, 1.2, 1.9, 5.0, -3.0}) {  // also outside the bracket
    for (const double slope : {0.01, 4.8, 1e6}) {          // also far off
      CHECK(near(rising_root(cube, 0.0, 2.0, guess, slope, 1.0), std::cbrt(2.0), 1e-10));
    }
  }
  const auto line = [](double x) { return 3.0 * (x - 0.25); };
  CHECK(near(rising_root(line, 0.0, 1.0, 0.9, 3.0, 1.0), 0.25, 1e-12));
  CHECK(rising_root(line, 0.0, 1.0, 0.25, 3.0, 1.0) == 0.25);
}

TEST_CASE("rising root: hard shapes") {
  // Steep beside flat, as a nozzle close to the pressure of no flow: sqrt has no slope bound at 0.
  const auto rootlike = [](double x) { return 1e-3 * x - std::sqrt(1.0 - x); };
  const double x = rising_root(rootlike, 0.0, 1.0, 0.0, 1.0, 1.0);
  // (1e-3 x)^2 = 1 - x
  const double exact = 2.0 / (1.0 + std::sqrt(1.0 + 4e-6));
  CHECK(near(x, exact, 1e-11));
  const auto step = [](double y) { return std::tanh(1e4 * (y - 0.7)); };
  CHECK(near(rising_root(step, 0.0, 1.0, 0.1, 1.0, 1.0), 0.7, 1e-12));
  const auto flat = [](double y) { return y < 0.5 ? -1.0 : 1.0; };  // a jump: ends at its place
  CHECK(near(rising_root(flat, 0.0, 1.0, 0.1, 1.0, 1.0), 0.5, 1e-14));
}

TEST_CASE("rising root: takes few steps where the function is smooth") {
  int calls = 0;
  const auto counted = [&](double x) {
    ++calls;
    return std::exp(x) - 2.0;
  };
  CHECK(near(rising_root(counted, 0.0, 2.0, 0.5, 1.6, 1.0), std::log(2.0), 1e-10));
  CHECK(calls <= 7);  // secant: order 1.6 from an error of 0.2 to 1e-11, one to confirm
}

TEST_CASE("rising root: a bracket of no width and one whose function is zero at once") {
  const auto line = [](double x) { return x - 1.0; };
  CHECK(rising_root(line, 1.0, 1.0, 1.0, 1.0, 1.0) == 1.0);
  CHECK(rising_root(line, 3.0, 3.0, 3.0, 1.0, 1.0) == 3.0);  // nothing to search
}

TEST_CASE("rising root: every lane of a pack is solved as if it were alone") {
  Pack target;
  for (std::size_t k = 0; k < Pack::size(); ++k) target[k] = 0.1 + 1.7 * static_cast<double>(k);
  const auto pack = [&](const Pack& x) { return Pack(x * x * x - target); };
  const Pack x = rising_root(pack, Pack(0.0), Pack(10.0), Pack(1.0), Pack(3.0), Pack(1.0));
  for (std::size_t k = 0; k < Pack::size(); ++k) {
    const double goal = target[k];
    const auto one = [=](double y) { return y * y * y - goal; };
    const double alone = rising_root(one, 0.0, 10.0, 1.0, 3.0, 1.0);
    CHECK(x[k] == alone);
    CHECK(near(alone, std::cbrt(goal), 1e-9));
  }
}
