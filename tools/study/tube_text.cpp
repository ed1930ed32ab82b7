#include "tools/study/tube_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <numeric>

namespace pulsewright::tools {

namespace {

constexpr double inch_length = 0.0254;  // m
constexpr double size_slack = 1e-6;     // m, far below what tube is made to

long sixteenths_of(double length) { return std::lround(length / inch_length * 16); }

// Millimetres without zeros at the end.
std::string millimetres(double length) {
  return fmt::format("{:g}", std::round(length * 1e5) / 100);
}

std::string wall_text(double wall) {
  constexpr int thickest = 10, thinnest = 22;  // gauges
  for (int gauge = thickest; gauge <= thinnest; ++gauge) {
    if (std::abs(cases::gauge_wall(gauge) - wall) < size_slack) return fmt::format("{} ga", gauge);
  }
  return fmt::format("{} mm wall", millimetres(wall));
}

}  // namespace

double outside_diameter(const cases::Tube& tube) { return tube.inside_diameter + 2 * tube.wall; }

std::string inch_fraction(long sixteenths) {
  const long whole = sixteenths / 16;
  const long left = sixteenths % 16;
  if (left == 0) return fmt::format("{}", whole);
  const long common = std::gcd(left, 16L);
  const std::string part = fmt::format("{}/{}", left / common, 16 / common);
  return whole == 0 ? part : fmt::format("{}-{}", whole, part);
}

std::string cut_length_text(double length, UnitSystem units) {
  return units == UnitSystem::inch ? inch_fraction(sixteenths_of(length)) + " in"
                                   : fmt::format("{:.0f} mm", std::round(length * 1e3));
}

bool is_inch_size(const cases::Tube& tube) {
  const double outside = outside_diameter(tube);
  return std::abs(static_cast<double>(sixteenths_of(outside)) * inch_length / 16 - outside) <
         size_slack;
}

std::string tube_text(const cases::Tube& tube) {
  if (!(tube.wall > 0) || !(tube.inside_diameter > 0)) return {};
  const double outside = outside_diameter(tube);
  const std::string size = is_inch_size(tube)
                               ? fmt::format("{} in OD", inch_fraction(sixteenths_of(outside)))
                               : fmt::format("{} mm OD", millimetres(outside));
  return fmt::format("{}, {}", size, wall_text(tube.wall));
}

}  // namespace pulsewright::tools
