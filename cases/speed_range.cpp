#include "cases/speed_range.hpp"

#include <cmath>

namespace pulsewright::cases {

bool same_speed(double a, double b) {
  constexpr double round_off = 1e-7;
  return std::abs(a - b) <= round_off;
}

double SpeedRange::count() const {
  // 250 rpm in rev/s is no round binary number: the last speed must not be lost to round-off.
  return std::floor((to - from) / step * (1 + 1e-12) + 1e-9) + 1;
}

std::vector<double> SpeedRange::speeds() const {
  std::vector<double> out(static_cast<std::size_t>(count()));
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = from + static_cast<double>(i) * step;
  return out;
}

}  // namespace pulsewright::cases
