#include "models/network/specification.hpp"

#include <algorithm>
#include <cmath>

namespace pulsewright::models {

std::size_t PipeSpecification::cells() const {
  return static_cast<std::size_t>(std::max(4L, std::lround(length / cell_size)));
}

double diameter_at(const std::vector<ProfilePoint>& profile, double x) {
  if (x <= profile.front().x) return profile.front().diameter;
  for (std::size_t i = 1; i < profile.size(); ++i) {
    if (x <= profile[i].x) {
      const double t = (x - profile[i - 1].x) / (profile[i].x - profile[i - 1].x);
      return profile[i - 1].diameter + t * (profile[i].diameter - profile[i - 1].diameter);
    }
  }
  return profile.back().diameter;
}

std::vector<double> cell_centres(const PipeSpecification& pipe) {
  const std::size_t n = pipe.cells();
  const double dx = pipe.length / static_cast<double>(n);
  std::vector<double> centres;
  for (std::size_t i = 0; i < n; ++i) centres.push_back((static_cast<double>(i) + 0.5) * dx);
  return centres;
}

}  // namespace pulsewright::models
