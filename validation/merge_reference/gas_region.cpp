#include "validation/merge_reference/gas_region.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace pulsewright::validation {

double RoundTube::signed_distance(const Vector3& x) const {
  const double s = along(x);
  const double r = std::sqrt(std::max(0.0, dot(x, x) - s * s));
  const double slope = (radius_to - radius_from) / (to - from);
  const double side = (r - radius_from - slope * (s - from)) / std::sqrt(1 + slope * slope);
  return std::max({side, from - s, s - to});
}

double signed_distance(const std::vector<RoundTube>& region, const Vector3& x) {
  double least = std::numeric_limits<double>::infinity();
  for (const RoundTube& tube : region) least = std::min(least, tube.signed_distance(x));
  return least;
}

Box half_box(const std::vector<RoundTube>& region) {
  constexpr double infinity = std::numeric_limits<double>::infinity();
  Box box{{infinity, 0, infinity}, {-infinity, -infinity, -infinity}};
  for (const RoundTube& tube : region) {
    for (const double s : {tube.from, tube.to}) {
      const double radius = std::max(tube.radius_from, tube.radius_to);
      for (std::size_t a = 0; a < 3; ++a) {
        const double centre = s * tube.direction[a];
        const double reach = radius * std::sqrt(1 - tube.direction[a] * tube.direction[a]);
        if (a != 1) box.low[a] = std::min(box.low[a], centre - reach);
        box.high[a] = std::max(box.high[a], centre + reach);
      }
    }
  }
  return box;
}

}  // namespace pulsewright::validation
