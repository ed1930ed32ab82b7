// Folding of crank angles.
#include "models/boundary/crank_angle.hpp"

#include <doctest/doctest.h>

#include "solver/simd/math.hpp"

namespace pulsewright::tests {

using namespace models;

TEST_CASE("crank angles: folded into one cycle, exactly") {
  for (const double angle : {0.0, 0.25, 102.3, 359.9, 719.75}) {
    for (const int cycles : {-2, -1, 0, 1, 2, 3}) {
      // Multiples of 2^-10 deg have room for all bits in the sum.
      const double a = std::round(angle * 1024) / 1024;
      CHECK(fold(a + 720.0 * cycles) == a);
      CHECK(fold_from(a + 720.0 * cycles, 0.0) == a);
    }
  }
  CHECK(fold(720.0) == 0);
  CHECK(fold(-720.0) == 0);
}

TEST_CASE("crank angles: the range is half open whatever the rounding") {
  for (const double start : {0.0, 102.3, 324.7, 610.1}) {
    for (const double turns : {-2.0, -1.0, 0.0, 1.0, 2.0}) {
      const double event = start + 720.0 * turns;
      for (const double angle : {event, std::nextafter(event, -1e9), std::nextafter(event, 1e9)}) {
        const double folded = fold_from(angle, start);
        CAPTURE(start);
        CAPTURE(turns);
        CHECK(folded >= start);
        CHECK(folded < start + 720.0);
      }
    }
  }
  CHECK(fold(-1e-300) == 0);  // a cycle less that would round to a whole cycle
}

TEST_CASE("crank angles: around firing top dead centre, for a number and for a pack") {
  for (const double angle : {-360.0, -359.5, -0.5, 0.0, 0.5, 359.5, 360.0, 719.5, 1079.5, 1080.0}) {
    const double folded = fold_around_firing(angle);
    CHECK(folded >= -360);
    CHECK(folded < 360);
    CHECK(fold(folded) == fold(angle));
    const solver::Pack pack = fold_around_firing(solver::Pack(angle));
    CHECK(pack[0] == folded);
  }
}

TEST_CASE("crank angles: the part of a step within a window that wraps") {
  // Exhaust valve of 102 to 394 deg: no wrap; intake of 690 to 890 deg: over the end of the cycle.
  CHECK(within_window(100, 4, 102, 394) == 2);
  CHECK(within_window(393, 4, 102, 394) == 1);
  CHECK(within_window(400, 4, 102, 394) == 0);
  CHECK(within_window(168, 4, 690, 890) == 2);
  CHECK(within_window(0, 4, 690, 890) == 4);
  CHECK(within_window(718, 4, 690, 890) == 4);
  CHECK(within_window(688, 4, 690, 890) == 2);
  // All steps of a cycle make the whole window.
  double sum = 0;
  for (int i = 0; i < 720; ++i) sum += within_window(i, 1, 690, 890);
  CHECK(sum == 200);
}

TEST_CASE("crank angles: every event is passed once in a cycle") {
  for (const double event : {0.0, 0.5, 103.0, 719.5, 720.0, 890.0}) {
    int passed = 0;
    for (int i = 0; i < 240; ++i) passed += passes(3.0 * i, 3.0, event) ? 1 : 0;
    CAPTURE(event);
    CHECK(passed == 1);
  }
}

TEST_CASE("even angles go once round the cycle") {
  CHECK(even_angles(4) == std::vector<double>{0, 180, 360, 540});
  CHECK(even_angles(0).empty());
}

}  // namespace pulsewright::tests
