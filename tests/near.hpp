// Comparison of numbers in tests, with an absolute and a relative part that add up.
//
//   CHECK(near(value, expected, 1e-6));          relative alone
//   CHECK(near(value, expected, 0, 0.5));        absolute alone
//   CHECK(near(value, expected, 1e-6, 1e-12));   |value - expected| <= 1e-6 |expected| + 1e-12
//
// doctest's own Approx adds 1 to the scale of its tolerance and so turns absolute for small
// numbers, where it accepts almost anything. NaN is near nothing; an infinity is near itself only.
#pragma once

#include <cmath>
#include <iomanip>
#include <limits>
#include <ostream>

namespace pulsewright::tests {

// Outcome of a comparison; true when near. Printed by doctest when a check fails.
struct Nearness {
  double value = 0;
  double expected = 0;
  double relative = 0;
  double absolute = 0;

  double difference() const { return value - expected; }
  double allowed() const { return absolute + relative * std::abs(expected); }

  explicit operator bool() const {
    if (std::isinf(value) || std::isinf(expected)) {
      return value == expected;
    }
    return std::abs(difference()) <= allowed();  // false when either is NaN
  }
};

// `relative` is a fraction of |expected|; `absolute` has the unit of the numbers. Both at least 0.
inline Nearness near(double value, double expected, double relative, double absolute = 0) {
  return {value, expected, relative, absolute};
}

inline std::ostream& operator<<(std::ostream& stream, const Nearness& nearness) {
  const auto precision = stream.precision();
  stream << std::setprecision(std::numeric_limits<double>::max_digits10) << nearness.value
         << ", expected " << nearness.expected << std::setprecision(4) << ", difference "
         << nearness.difference();
  if (nearness.expected != 0) {
    stream << " (relative " << nearness.difference() / std::abs(nearness.expected) << ')';
  }
  stream << ", allowed " << nearness.allowed() << std::setprecision(static_cast<int>(precision));
  return stream;
}

}  // namespace pulsewright::tests
