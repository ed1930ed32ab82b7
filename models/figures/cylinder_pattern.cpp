#include "models/figures/cylinder_pattern.hpp"

#include <algorithm>
#include <cmath>

namespace pulsewright::models {

namespace {

constexpr double alike = 5e-3;  // relative

bool are_alike(const CylinderFigures& a, const CylinderFigures& b) {
  for (const auto figure : {&CylinderFigures::charging_efficiency, &CylinderFigures::imep}) {
    const double scale = std::max(std::abs(a.*figure), std::abs(b.*figure));
    if (!(std::abs(a.*figure - b.*figure) <= alike * scale)) return false;
  }
  return true;
}

}  // namespace

CylinderPattern pattern_of(const EngineSymmetry& symmetry,
                           const std::vector<CylinderFigures>& cylinders) {
  const std::size_t order = symmetry.order();
  CylinderPattern pattern{static_cast<int>(order), 0};
  std::vector<std::size_t> image(cylinders.size());  // of each, under the turn `firings` times
  for (std::size_t i = 0; i < image.size(); ++i) image[i] = i;
  for (std::size_t firings = 1; firings < order; ++firings) {
    bool same = true;
    for (std::size_t i = 0; i < cylinders.size(); ++i) {
      image[i] = symmetry.cylinders[image[i]];
      const CylinderFigures& other = cylinders[image[i]];
      same = same && are_alike(cylinders[i], other);
      pattern.spread = std::max(
          pattern.spread, std::abs(cylinders[i].charging_efficiency - other.charging_efficiency));
    }
    if (same) pattern.firings = std::min(pattern.firings, static_cast<int>(firings));
  }
  return pattern;
}

}  // namespace pulsewright::models
