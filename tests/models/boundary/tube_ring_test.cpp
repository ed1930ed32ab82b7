// Offsets of the ports of tubes round a collector: none at rest or in steady flow, no force, no
// energy, symmetry, the place across and beside a jet.
#include "models/boundary/tube_ring.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <numbers>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

using Direction = std::array<double, 3>;

struct Merge {
  std::vector<Direction> directions;
  std::vector<double> areas;
};

// Tubes of 1000 mm2 at equal distances round the axis; the collector is last.
Merge merge(int tubes, double half_angle, double collector_area) {
  Merge m;
  for (int k = 0; k < tubes; ++k) {
    const double place = 2 * std::numbers::pi * k / tubes;
    m.directions.push_back({-std::cos(half_angle), std::sin(half_angle) * std::cos(place),
                            std::sin(half_angle) * std::sin(place)});
    m.areas.push_back(1e-3);
  }
  m.directions.push_back({1, 0, 0});
  m.areas.push_back(collector_area);
  return m;
}

constexpr double c = 560;   // m/s
constexpr double p0 = 1e5;  // Pa

TubeRing ring_of(const Merge& m) { return {m.directions, m.areas, JunctionConstants{}}; }

EndFlux<double> flow(double rho, double v) { return {rho * v, rho * v * v + p0, 0, 0, p0, v, 0}; }

}  // namespace

TEST_CASE("tubes round a collector: equal pressures have no offsets, steady ones lose them") {
  const Merge m = merge(4, 0.17, 4e-3);
  TubeRing ring = ring_of(m);
  REQUIRE_FALSE(ring.is_empty());
  const std::vector<EndFlux<double>> still(5, flow(0.4, 0));
  std::vector<double> offset(5, 1.0);
  ring.advance(1e-5, p0, c, std::vector<double>{p0, p0, p0, p0, 1.3 * p0}, still, offset);
  for (const double x : offset) CHECK(x == 0);
  const std::vector<double> wall{1.2 * p0, p0, 0.9 * p0, p0, p0};
  for (int i = 0; i < 2000; ++i) ring.advance(1e-5, p0, c, wall, still, offset);
  for (const double x : offset) CHECK(near(x, 0, 0, 1e-6));
}

TEST_CASE("tubes round a collector: offsets make no force and return no more than arrives") {
  for (const int n : {2, 3, 4, 5}) {
    for (const double dt : {1e-6, 1e-5, 1e-4}) {
      CAPTURE(n);
      CAPTURE(dt);
      const Merge m = merge(n, 0.2, 0.9e-3 * n);
      TubeRing ring = ring_of(m);
      const std::vector<EndFlux<double>> still(m.areas.size(), flow(0.4, 0));
      std::vector<double> wall(m.areas.size(), p0);
      std::vector<double> offset(m.areas.size());
      double arrived = 0;
      double returned = 0;
      double largest = 0;
      for (int i = 0; i < 3000; ++i) {
        double mean = 0;
        for (int k = 0; k < n; ++k) {
          const auto j = static_cast<std::size_t>(k);
          // Irregular, of all frequencies, over a third of the time.
          wall[j] = i < 1000 ? p0 + 1e4 * std::sin(1.7 * i * (k + 1) + 0.3 * i * i) : p0;
          mean += wall[j] / n;
        }
        ring.advance(dt, p0, c, wall, still, offset);
        double sum = 0;
        for (int k = 0; k < n; ++k) {
          const auto j = static_cast<std::size_t>(k);
          const double difference = wall[j] - mean;
          sum += offset[j];
          largest = std::max(largest, std::abs(offset[j]));
          arrived += difference * difference;
          returned += std::pow(2 * offset[j] - difference, 2);
        }
        CHECK(near(sum, 0, 0, 1e-8));
        CHECK(offset.back() == 0);
      }
      CHECK(largest > 100);
      CHECK(returned <= arrived * (1 + 1e-12));
    }
  }
}

TEST_CASE("tubes round a collector: a jet raises the pressure across and lowers it beside") {
  const auto steady = [](const Merge& m, double speed) {
    TubeRing ring = ring_of(m);
    std::vector<EndFlux<double>> flux(m.areas.size(), flow(0.4, 0));
    flux[0] = flow(0.4, -speed);
    const std::vector<double> wall(m.areas.size(), p0);
    std::vector<double> offset(m.areas.size());
    for (int i = 0; i < 2000; ++i) ring.advance(1e-5, p0, c, wall, flux, offset);
    return offset;
  };
  const auto four = steady(merge(4, 0.17, 3.3e-3), 100);
  CHECK(four[2] > 100);
  CHECK(near(four[1], four[3], 1e-12));
  CHECK(near(four[1], -0.5 * four[2], 1e-12));
  CHECK(near(four[0], 0, 0, 1e-9));
  // A tenth of the speed: a hundredth of the effect.
  CHECK(near(steady(merge(4, 0.17, 3.3e-3), 10)[2], 0.01 * four[2], 0.25));
  // The larger half angle acts more, the wide collector not at all.
  CHECK(steady(merge(4, 0.3, 3.3e-3), 100)[2] > 1.5 * four[2]);
  CHECK(steady(merge(4, 0.17, 6e-3), 100)[2] == 0);
  const auto two = steady(merge(2, 0.17, 1.8e-3), 100);
  CHECK(two[1] > 0);
  CHECK(near(two[0], -two[1], 1e-12));
}

TEST_CASE("other junctions have no ring of tubes") {
  const std::vector<double> three(3, 1e-3);
  const JunctionConstants constants;
  // Two pipes end to end; a tee; a lateral into a straight run; parallel tubes.
  CHECK(TubeRing(std::vector<Direction>{{-1, 0, 0}, {1, 0, 0}}, std::vector<double>(2, 1e-3),
                 constants)
            .is_empty());
  CHECK(TubeRing(std::vector<Direction>{{-1, 0, 0}, {0, 1, 0}, {1, 0, 0}}, three, constants)
            .is_empty());
  CHECK(TubeRing(std::vector<Direction>{{-1, 0, 0}, {-0.8, 0.6, 0}, {1, 0, 0}}, three, constants)
            .is_empty());
  CHECK(TubeRing(std::vector<Direction>{{-1, 0, 0}, {-1, 0, 0}, {1, 0, 0}}, three, constants)
            .is_empty());
  CHECK(TubeRing().is_empty());
}

}  // namespace pulsewright::tests
