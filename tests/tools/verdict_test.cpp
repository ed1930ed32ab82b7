// The interval of a difference and the words that follow from it.
#include "tools/study/verdict.hpp"

#include <doctest/doctest.h>
#include <limits>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace tools;

namespace {

// An interval from value - down to value + up.
Difference interval(double value, double down, double up) {
  Difference d;
  d.value = value;
  d.parts.merge_low = -down;
  d.parts.merge_high = up;
  d.complete = true;
  return d;
}

}  // namespace

TEST_CASE("the interval holds what the merge and the gas may change, and is widened by the rest") {
  Difference d;
  d.value = 8;
  d.parts = {-3, 1, -2, 1, 2, 2, 4};  // root of 1 + 4 + 4 + 16 = 5
  CHECK(near(d.low(), 8 - 3 - 2 - 5, 1e-14));
  CHECK(near(d.high(), 8 + 1 + 5, 1e-14));
  d.parts.gas = 2;
  CHECK(near(d.low(), 8 - 3 - 5, 1e-14));
  CHECK(near(d.high(), 8 + 1 + 2 + 5, 1e-14));
  const Difference other = d.reversed();
  CHECK(other.value == -d.value);
  CHECK(other.low() == -d.high());
  CHECK(other.high() == -d.low());
}

TEST_CASE(
    "verdicts: the whole interval, most of it, or neither, beyond what a dynamometer repeats") {
  constexpr double floor = 2.5;
  CHECK(verdict_of(interval(8, 5, 5), floor) == Verdict::ahead);
  CHECK(verdict_of(interval(8, 5.6, 5), floor) == Verdict::probably_ahead);
  CHECK(verdict_of(interval(8, 8, 5), floor) == Verdict::probably_ahead);  // 10.5 of 13
  CHECK(verdict_of(interval(8, 12, 5), floor) == Verdict::too_close);      // 10.5 of 17
  // On one side of zero, yet too small to be measured.
  CHECK(verdict_of(interval(1, 0.5, 0.5), floor) == Verdict::too_close);
  CHECK(verdict_of(interval(0, 0, 0), floor) == Verdict::too_close);
  auto unknown = interval(50, 1, 1);
  unknown.complete = false;
  CHECK(verdict_of(unknown, floor) == Verdict::none);
  CHECK(verdict_of(interval(std::numeric_limits<double>::quiet_NaN(), 1, 1), floor) ==
        Verdict::none);
}

TEST_CASE("the verdict on A against B is that on B against A the other way round") {
  for (const double value : {-9.0, -4.0, -1.0, 0.0, 2.0, 5.0, 11.0}) {
    for (const double down : {0.1, 3.0, 8.0}) {
      for (const double up : {0.2, 2.0, 9.0}) {
        const Difference d = interval(value, down, up);
        CAPTURE(value);
        CAPTURE(down);
        CAPTURE(up);
        CHECK(verdict_of(d.reversed(), 2) == reversed(verdict_of(d, 2)));
      }
    }
  }
}

}  // namespace pulsewright::tests
