// The comparison that all other tests rely on.
#include "tests/near.hpp"

#include <doctest/doctest.h>
#include <limits>
#include <sstream>

namespace pulsewright::tests {
namespace {

TEST_CASE("a relative tolerance scales with the expected value") {
  CHECK(near(1.0009, 1.0, 1e-3));
  CHECK_FALSE(near(1.0011, 1.0, 1e-3));
  CHECK(near(-1.0009e9, -1.0e9, 1e-3));
  CHECK_FALSE(near(-1.0011e9, -1.0e9, 1e-3));
  CHECK_FALSE(near(-1.0, 1.0, 1e-3));
}

TEST_CASE("a relative tolerance stays relative for small numbers") {
  CHECK(near(1.0009e-9, 1.0e-9, 1e-3));
  CHECK_FALSE(near(1.0011e-9, 1.0e-9, 1e-3));
  CHECK_FALSE(near(0.0, 1.0e-9, 1e-3));
  CHECK_FALSE(near(1.0e-300, 0.0, 1e-3));
}

TEST_CASE("an absolute tolerance adds to the relative one") {
  CHECK(near(1.0e-13, 0.0, 0, 1e-12));
  CHECK_FALSE(near(2.0e-12, 0.0, 0, 1e-12));
  CHECK(near(1015.0, 1000.0, 0.01, 6.0));
  CHECK_FALSE(near(1017.0, 1000.0, 0.01, 6.0));
}

TEST_CASE("with no tolerance only equal numbers are near") {
  CHECK(near(0.1, 0.1, 0));
  CHECK_FALSE(near(std::nextafter(0.1, 1.0), 0.1, 0));
}

TEST_CASE("not-a-number is near nothing and an infinity only near itself") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  constexpr double infinity = std::numeric_limits<double>::infinity();
  CHECK_FALSE(near(nan, 1.0, 1e9, 1e9));
  CHECK_FALSE(near(1.0, nan, 1e9, 1e9));
  CHECK_FALSE(near(nan, nan, 1e9, 1e9));
  CHECK(near(infinity, infinity, 0));
  CHECK_FALSE(near(infinity, -infinity, 1e9));
  CHECK_FALSE(near(1.0, infinity, 1e-3, 1e9));
  CHECK_FALSE(near(infinity, 1.0, 1e-3, 1e9));
}

TEST_CASE("a failed comparison prints value, expected and difference") {
  std::ostringstream text;
  text << near(1.5, 1.25, 0.1);
  CHECK(text.str() == "1.5, expected 1.25, difference 0.25 (relative 0.2), allowed 0.125");
}

}  // namespace
}  // namespace pulsewright::tests
