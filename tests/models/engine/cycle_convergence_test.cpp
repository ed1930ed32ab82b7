// When a series of cycles counts as converged.
#include "models/engine/cycle_convergence.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>

namespace pulsewright::tests {

using models::CycleConvergence;

namespace {

// Cycles until the series converges, and its period then; 0 when it does not within 60.
struct Converged {
  int cycles = 0, period = 0;
};
template <class Series>
Converged converge(double tolerance, const Series& series) {
  CycleConvergence cycle_convergence(tolerance);
  for (int n = 0; n < 60; ++n) {
    cycle_convergence.add({series(n), 5.0});
    if (cycle_convergence.period() > 0) return {n + 1, cycle_convergence.period()};
  }
  return {};
}

}  // namespace

TEST_CASE("cycle_convergence: a series that comes to rest does so within the tolerance") {
  // By definition: the rest of the geometric series that is left is at most the tolerance.
  for (const double share : {0.05, 0.3, 0.6, 0.9, -0.3}) {
    CAPTURE(share);
    const auto series = [&](int n) { return 10.0 * (1 + 0.2 * std::pow(share, n)); };
    const Converged end = converge(1e-3, series);
    CHECK(end.period == 1);
    CHECK(std::abs(series(end.cycles - 1) / 10.0 - 1) < 1e-3 / (1 - share));
    // Two cycles at most after the change has fallen to the tolerance.
    int first = 1;
    while (std::abs(series(first) - series(first - 1)) > 1e-3 * series(first)) ++first;
    CHECK(end.cycles >= first + 1);
    CHECK(end.cycles <= first + 2);
  }
}

TEST_CASE("cycle_convergence: patterns of two and three cycles have their period") {
  const auto two = converge(1e-3, [](int n) { return 10 + (n % 2) + std::pow(0.3, n); });
  CHECK(two.period == 2);
  const auto three =
      converge(1e-3, [](int n) { return 10 + (n % 3) * (n % 3) + std::pow(0.3, n); });
  CHECK(three.period == 3);
  // An alternation that hardly dies counts as one that stays: the mean of both cycles, which is
  // what is reported, is that of the rest.
  const auto dying = [](int n) { return 10 + std::pow(-0.9, n); };
  const auto end = converge(1e-3, dying);
  CHECK(end.period == 2);
  CHECK(std::abs(0.5 * (dying(end.cycles - 1) + dying(end.cycles - 2)) - 10) < 1e-3 * 10);
  // Patterns longer than three are not looked for.
  CHECK(converge(1e-3, [](int n) { return 10.0 + n % 4; }).period == 0);
}

TEST_CASE("cycle_convergence: what never repeats never converges") {
  CHECK(converge(1e-3, [](int n) { return 10 + 0.1 * n; }).period == 0);
  CHECK(converge(1e-3, [](int) { return std::nan(""); }).period == 0);
  CHECK(converge(1e-3, [](int) { return std::numeric_limits<double>::infinity(); }).period == 0);
  CycleConvergence cycle_convergence(1e-3);
  CHECK(std::isinf(cycle_convergence.residual()));
  cycle_convergence.add({1.0});
  CHECK(std::isinf(cycle_convergence.residual()));
  cycle_convergence.add({2.0});
  cycle_convergence.add({1.01});
  CHECK(cycle_convergence.residual() < 0.01);  // against the one before the last
  CHECK(cycle_convergence.residual() > 0.009);
}

TEST_CASE("cycle_convergence: a series whose change will not fall to the tolerance is recognised") {
  // Cycles after which the series is given up; 0 when it converges or is not within `most`.
  const auto given_up = [](int most, const auto& series) {
    CycleConvergence cycle_convergence(1e-3);
    for (int n = 0; n < most; ++n) {
      cycle_convergence.add({series(n), series(n + 4)});  // a quarter of a turn of 17 apart
      if (cycle_convergence.period() > 0) return 0;
      if (cycle_convergence.will_not_repeat_within(most)) return n + 1;
    }
    return 0;
  };
  const double pi = std::acos(-1.0);
  const auto turning = [&](double factor) {
    return [factor, pi](int n) { return 10 + std::pow(factor, n) * std::cos(2 * pi * n / 17); };
  };
  CHECK(given_up(100, turning(1.0)) == 40);  // two stretches of 20
  CHECK(given_up(400, turning(1.0)) == 160);
  CHECK(given_up(30, turning(1.0)) == 0);
  CHECK(given_up(100, turning(0.8)) == 0);
  CHECK(given_up(100, [](int n) { return 10.0 + n % 4; }) == 40);
  // Changes that shrink by a factor in each cycle reach the tolerance when the factor says so:
  // 0.01 * factor^(n - 1) = 1e-3, within some cycles.
  const auto shrinking = [](double factor) {
    return [factor](int n) { return 1 + 0.01 * std::pow(factor, n) / (1 - factor); };
  };
  CHECK(given_up(100, shrinking(0.97)) == 0);  // after 77 cycles or so
  CHECK(given_up(100, shrinking(0.98)) == 40);
  CHECK(given_up(300, shrinking(0.98)) == 0);
  CHECK(given_up(100, [](int) { return std::nan(""); }) == 40);
}

TEST_CASE("cycle_convergence: one repetition says nothing of the one before") {
  CycleConvergence cycle_convergence(1e-3);
  cycle_convergence.add({1.0});
  cycle_convergence.add({1.0005});
  CHECK(cycle_convergence.period() == 0);
  cycle_convergence.add({1.0005});
  CHECK(cycle_convergence.period() == 1);
}

}  // namespace pulsewright::tests
