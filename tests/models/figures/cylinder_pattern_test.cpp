// After how many firings a pattern of given cylinders repeats.
#include "models/figures/cylinder_pattern.hpp"

#include <doctest/doctest.h>

#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

// Four cylinders, each the image of the one before; filling and mean pressure are given.
CylinderPattern pattern(const std::vector<double>& filling, const std::vector<double>& imep = {}) {
  std::vector<CylinderFigures> cylinders;
  for (std::size_t i = 0; i < filling.size(); ++i) {
    CylinderFigures f;
    f.charging_efficiency = filling[i];
    f.imep = imep.empty() ? 1e6 : imep[i];
    cylinders.push_back(f);
  }
  return pattern_of({180, {1, 2, 3, 0}, {}}, cylinders);
}

}  // namespace

TEST_CASE("the pattern of cylinders that are the same") {
  CHECK(pattern({0.9, 0.9, 0.9, 0.9}).firings == 1);
  CHECK(pattern({0.9, 0.904, 0.9, 0.9}).firings == 1);  // within 0.5 %
  CHECK(near(pattern({0.9, 0.904, 0.9, 0.9}).spread, 0.004, 1e-12));
  CHECK(pattern({0.744, 0.856, 0.744, 0.856}).firings == 2);
  CHECK(near(pattern({0.744, 0.856, 0.744, 0.856}).spread, 0.112, 1e-12));
  CHECK(pattern({0.744, 0.744, 0.856, 0.856}).firings == 4);
  CHECK(pattern({0.9, 0.8, 0.9, 0.9}).firings == 4);
  // Filled alike, but not working alike.
  CHECK(pattern({0.9, 0.9, 0.9, 0.9}, {1e6, 1.1e6, 1e6, 1.1e6}).firings == 2);
}

TEST_CASE("two sets of cylinders are compared each within itself") {
  // 0 and 1 exchange their places, 2 and 3 too; the sets differ, which symmetry allows.
  std::vector<CylinderFigures> cylinders(4);
  for (std::size_t i = 0; i < 4; ++i) {
    cylinders[i].charging_efficiency = i < 2 ? 0.9 : 0.8;
    cylinders[i].imep = 1e6;
  }
  const EngineSymmetry halves{360, {1, 0, 3, 2}, {}};
  CHECK(pattern_of(halves, cylinders).firings == 1);
  CHECK(pattern_of(halves, cylinders).spread == 0);
  cylinders[3].charging_efficiency = 0.85;
  CHECK(pattern_of(halves, cylinders).firings == 2);
}

}  // namespace pulsewright::tests
