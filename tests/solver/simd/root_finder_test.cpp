// The safeguarded Newton method, for doubles and packs.
#include "solver/simd/root_finder.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "tests/near.hpp"

using namespace pulsewright::solver;
using pulsewright::tests::near;

namespace {

using Y = ValueAndSlope<double>;

}  // namespace

TEST_CASE("safeguarded Newton: roots that are known") {
  const auto cube = [](double x) { return Y{x * x * x - 2.0, 3.0 * x * x}; };
  for (const double guess : {0.0, 1.2, 1.9, 5.0, -3.0}) {  // also outside the bracket
    CHECK(near(root_safeguarded_newton(cube, 0.0, 2.0, guess, 1.0), std::cbrt(2.0), 1e-12));
  }
  const auto line = [](double x) { return Y{3.0 * (x - 0.25), 3.0}; };
  CHECK(near(root_safeguarded_newton(line, 0.0, 1.0, 0.9, 1.0), 0.25, 1e-12));
  CHECK(root_safeguarded_newton(line, 0.0, 1.0, 0.25, 1.0) == 0.25);
}

TEST_CASE("safeguarded Newton: hard shapes") {
  // A slope without bound at one end of the bracket.
  const auto rootlike = [](double x) {
    return Y{1e-3 * x - std::sqrt(1.0 - x), 1e-3 + 0.5 / std::sqrt(1.0 - x)};
  };
  const double x = root_safeguarded_newton(rootlike, 0.0, 1.0, 0.0, 1.0);
  // (1e-3 x)^2 = 1 - x
  const double exact = 2.0 / (1.0 + std::sqrt(1.0 + 4e-6));
  CHECK(near(x, exact, 1e-11));
  // Newton's step from the flat part leaves the bracket.
  const auto step = [](double y) {
    const double t = std::tanh(1e4 * (y - 0.7));
    return Y{t, 1e4 * (1.0 - t * t)};
  };
  CHECK(near(root_safeguarded_newton(step, 0.0, 1.0, 0.1, 1.0), 0.7, 1e-12));
  // A jump: ends at its place. A slope that is wrong costs steps, and the last one.
  const auto jump = [](double y) { return Y{y < 0.5 ? -1.0 : 1.0, 0.0}; };
  CHECK(near(root_safeguarded_newton(jump, 0.0, 1.0, 0.1, 1.0), 0.5, 1e-14));
  const auto wrong = [](double y) { return Y{y - 0.3, -5.0}; };
  CHECK(near(root_safeguarded_newton(wrong, 0.0, 1.0, 0.1, 1.0), 0.3, 0, 1e-7));
}

TEST_CASE("safeguarded Newton: takes few steps where the function is smooth") {
  int calls = 0;
  const auto counted = [&](double x) {
    ++calls;
    return Y{std::exp(x) - 2.0, std::exp(x)};
  };
  CHECK(near(root_safeguarded_newton(counted, 0.0, 2.0, 0.5, 1.0), std::log(2.0), 1e-12));
  CHECK(calls <= 4);  // Newton: errors 0.2, 2e-2, 2e-4, 2e-8; the residual at the next, 2e-16, is
                      // not evaluated
}

TEST_CASE("safeguarded Newton: a bracket of no width and one whose function is zero at once") {
  const auto line = [](double x) { return Y{x - 1.0, 1.0}; };
  CHECK(root_safeguarded_newton(line, 1.0, 1.0, 1.0, 1.0) == 1.0);
  CHECK(root_safeguarded_newton(line, 3.0, 3.0, 3.0, 1.0) == 3.0);  // nothing to search
}

TEST_CASE("safeguarded Newton: every lane of a pack is solved as if it were alone") {
  Pack target;
  for (std::size_t k = 0; k < Pack::size(); ++k) target[k] = 0.1 + 1.7 * static_cast<double>(k);
  const auto pack = [&](const Pack& x) {
    return ValueAndSlope<Pack>{x * x * x - target, 3.0 * x * x};
  };
  const Pack x = root_safeguarded_newton(pack, Pack(0.0), Pack(10.0), Pack(1.0), Pack(1.0));
  for (std::size_t k = 0; k < Pack::size(); ++k) {
    const double goal = target[k];
    const auto one = [=](double y) { return Y{y * y * y - goal, 3.0 * y * y}; };
    const double alone = root_safeguarded_newton(one, 0.0, 10.0, 1.0, 1.0);
    CHECK(x[k] == alone);
    CHECK(near(alone, std::cbrt(goal), 1e-9));
  }
}

TEST_CASE("safeguarded Newton: what does not converge is NaN, in its lane alone") {
  // A slope that is much too steep: steps that stay within the bracket and lead nowhere.
  int calls = 0;
  const auto creeping = [&](double x) {
    ++calls;
    return Y{x - 0.3, 1e4};
  };
  CHECK(std::isnan(root_safeguarded_newton(creeping, 0.0, 1.0, 0.9, 1.0)));
  CHECK(calls == root_iterations + 1);
  const auto no_number = [](double) { return Y{std::nan(""), 1.0}; };
  CHECK(std::isnan(root_safeguarded_newton(no_number, 0.0, 1.0, 0.5, 1.0)));
  CHECK(std::isnan(root_safeguarded_newton(creeping, 0.0, 1.0, 0.5, std::nan(""))));

  for (std::size_t bad = 0; bad < Pack::size(); ++bad) {
    Pack slope = 1.0;
    slope[bad] = 1e4;
    const auto pack = [&](const Pack& x) { return ValueAndSlope<Pack>{x - 0.3, slope}; };
    const Pack x = root_safeguarded_newton(pack, Pack(0.0), Pack(1.0), Pack(0.9), Pack(1.0));
    for (std::size_t k = 0; k < Pack::size(); ++k) {
      const double root = x[k];
      if (k == bad) {
        CHECK(std::isnan(root));
      } else {
        CHECK(near(root, 0.3, 1e-12));
      }
    }
  }
}
