// Means over the band against integrals in closed form.
#include "tools/study/band.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace tools;

namespace {

template <class Function>
std::vector<double> values_of(const std::vector<double>& speeds, const Function& f) {
  std::vector<double> values;
  for (const double x : speeds) values.push_back(f(x));
  return values;
}

double mean(const std::vector<double>& speeds, const std::vector<double>& values, double from,
            double to) {
  const auto weights = band_weights(speeds, from, to);
  return std::inner_product(weights.begin(), weights.end(), values.begin(), 0.0);
}

}  // namespace

TEST_CASE("a band is judged as far as the speeds reach") {
  CHECK(reached_band({50, 60, 70}, 55, 80) == std::pair{55.0, 70.0});
  CHECK(reached_band({50, 60, 70}, 40, 65) == std::pair{50.0, 65.0});
  CHECK(reached_band({50, 60, 70}, 52, 68) == std::pair{52.0, 68.0});
  CHECK(reached_band({50, 60}, 70, 80) == std::pair{70.0, 80.0});
  CHECK(reached_band({}, 70, 80) == std::pair{70.0, 80.0});
}

TEST_CASE("the mean over a band: what is linear is integrated exactly, wherever the speeds lie") {
  const std::vector<double> speeds{50, 58, 61, 75, 76, 100};
  const auto values = values_of(speeds, [](double x) { return 3 * x - 20; });
  struct Edges {
    double from, to;
  };
  for (const Edges& band : {Edges{50, 100}, Edges{55, 90}, Edges{61, 75}, Edges{62, 63}}) {
    CAPTURE(band.from);
    CHECK(near(mean(speeds, values, band.from, band.to), 3 * 0.5 * (band.from + band.to) - 20,
               1e-13));
    const auto weights = band_weights(speeds, band.from, band.to);
    CHECK(near(std::accumulate(weights.begin(), weights.end(), 0.0), 1.0, 1e-14));
  }
  // Beyond the speeds nothing is known: the mean over the part that they reach.
  CHECK(near(mean(speeds, values, 90, 120), 3 * 95.0 - 20, 1e-13));
  // A band that no two speeds reach has the speed nearest to it.
  CHECK(band_weights(speeds, 101, 110) == std::vector<double>{0, 0, 0, 0, 0, 1});
  CHECK(band_weights(speeds, 58, 58) == std::vector<double>{0, 1, 0, 0, 0, 0});
  CHECK(band_weights({}, 1, 2).empty());
}

TEST_CASE("unequal steps do not give a stretch more weight, as a plain mean would") {
  // A ramp from 0 to 10 with three speeds close together at its upper end.
  const std::vector<double> speeds{0, 8, 9, 10};
  CHECK(near(mean(speeds, speeds, 0, 10), 5.0, 1e-13));
}

TEST_CASE("the error of the mean: of a parabola it is known exactly") {
  // Of x^2 the trapezoidal rule is off by h^2 / 6 in the mean: its f'' is 2 everywhere
  // (Abramowitz and Stegun 1964, 25.4.2).
  const std::vector<double> speeds{60, 64, 68, 72, 76, 80};
  const auto values = values_of(speeds, [](double x) { return x * x; });
  const double exact = (80.0 * 80 * 80 - 60.0 * 60 * 60) / 3 / 20;
  const auto errors = interval_errors(speeds, values, 60, 80);
  REQUIRE(errors.size() == 5);
  CHECK(near(std::accumulate(errors.begin(), errors.end(), 0.0),
             mean(speeds, values, 60, 80) - exact, 1e-10));
  CHECK(near(errors[0], 16.0 / 6 / 5, 1e-12));
  CHECK(near(resolution_error(errors), 16.0 / 6 / std::sqrt(5.0), 1e-12));
  // Outside the band nothing counts.
  const auto inner = interval_errors(speeds, values, 64, 72);
  CHECK(inner[0] == 0);
  CHECK(inner[1] > 0);
  CHECK(inner[3] == 0);
  CHECK(interval_errors({1, 2}, {0, 5}, 1, 2) == std::vector<double>{0});
  // Of an interval that is cut by the edge the part within: over the last third of [60, 72] the
  // chord of x^2 lies above it by (x - 60)(72 - x).
  const std::vector<double> wide{60, 72, 84};
  const auto cut = interval_errors(wide, values_of(wide, [](double x) { return x * x; }), 68, 84);
  const double part = 12.0 * 12 * 12 * ((0.5 - 1.0 / 3) - (2.0 / 9 - 8.0 / 81));
  CHECK(near(cut[0], part / 16, 1e-12));
  CHECK(near(cut[1], 12.0 * 12 * 12 / 6 / 16, 1e-12));
}

TEST_CASE("speeds are added where the curve bends, until the mean is known") {
  // Straight but for a peak between 72 and 76.
  const auto curve = [](double x) { return 40 * std::exp(-std::pow((x - 74) / 2.5, 2)); };
  std::vector<double> speeds{60, 64, 68, 72, 76, 80, 84};
  for (int round = 0; round < 6; ++round) {
    const auto errors = interval_errors(speeds, values_of(speeds, curve), 60, 84);
    const auto added = speeds_to_add(speeds, errors, 0.1, 0.25);
    if (added.empty()) break;
    for (const double speed : added) {
      CHECK(std::find(speeds.begin(), speeds.end(), speed) == speeds.end());
      speeds.push_back(speed);
    }
    if (round == 0) {
      CHECK(added.front() > 68);
      CHECK(added.front() < 80);
    }
    std::sort(speeds.begin(), speeds.end());
  }
  const auto values = values_of(speeds, curve);
  CHECK(resolution_error(interval_errors(speeds, values, 60, 84)) <= 0.1);
  // The integral of the bell: Abramowitz and Stegun (1964), 7.1.1.
  const double exact =
      40 * 2.5 * 0.5 * std::sqrt(std::acos(-1.0)) * (std::erf(10 / 2.5) + std::erf(14 / 2.5)) / 24;
  CHECK(near(mean(speeds, values, 60, 84), exact, 0, 0.1));
  // Nothing closer than twice the least distance is halved.
  CHECK(speeds_to_add({60, 61, 62}, {5, 5}, 0.1, 0.6).empty());
}

TEST_CASE("where curves cross") {
  CHECK(sign_changes({10, 20, 30}, {-1, 3, -3}, 0, 100) == std::vector<double>{12.5, 25});
  CHECK(sign_changes({10, 20, 30}, {-1, 3, -3}, 20, 30) == std::vector<double>{25});
  CHECK(sign_changes({10, 20, 30}, {1, 3, 3}, 0, 100).empty());
}

}  // namespace pulsewright::tests
