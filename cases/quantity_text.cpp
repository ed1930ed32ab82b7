#include "cases/quantity_text.hpp"

#include <cmath>
#include <fmt/format.h>

namespace pulsewright::cases {

namespace {

// Never with an exponent for a large one.
std::string number(double value, int digits) {
  return std::abs(value) >= std::pow(10, digits) ? fmt::format("{:.0f}", value)
                                                 : fmt::format("{:.{}g}", value, digits);
}

}  // namespace

std::string QuantityText::in(double value, std::string_view metric, std::string_view other,
                             int digits) const {
  const std::string_view unit = inch_ ? other : metric;
  return fmt::format("{} {}", number(in_unit(value, unit), digits), unit);
}

std::string QuantityText::length(double metres, int digits) const {
  return in(metres, "mm", "in", digits);
}

std::string QuantityText::area(double square_metres, int digits) const {
  return in(square_metres, "mm2", "in2", digits);
}

std::string QuantityText::volume(double cubic_metres, int digits) const {
  return in(cubic_metres, "cm3", "in3", digits);
}

std::string QuantityText::speed(double metres_per_second, int digits) const {
  constexpr double metres_per_foot = 0.3048;
  return inch_ ? number(metres_per_second / metres_per_foot, digits) + " ft/s"
               : number(metres_per_second, digits) + " m/s";
}

std::string QuantityText::pressure(double pascals, int digits) const {
  return in(pascals, "kPa", "psi", digits);
}

std::string QuantityText::mass_flow(double kilograms_per_second, int digits) const {
  return in(kilograms_per_second, "kg/h", "lb/min", digits);
}

std::string QuantityText::volume_flow(double cubic_metres_per_second, int digits) const {
  return in(cubic_metres_per_second, "m3/h", "cfm", digits);
}

std::string QuantityText::temperature(double kelvins, int digits) const {
  return in(kelvins, "degC", "degF", digits);
}

std::string QuantityText::temperature_difference(double kelvins, int digits) const {
  return inch_ ? number(kelvins * 9 / 5, digits) + " degF" : number(kelvins, digits) + " K";
}

std::string QuantityText::of_text(std::string_view text, Dimension dimension) const {
  const std::string_view unit = text.substr(text.find_last_of(' ') + 1);
  const bool is_inch = unit.substr(0, 2) == "in" || unit == "psi" || unit == "degF";
  if (!inch_ || is_inch) return std::string(text);
  const auto shown = [&](std::string_view to) {
    return fmt::format("{} {}", number(in_unit(parse_quantity(text, dimension), to), 4), to);
  };
  switch (dimension) {
    case Dimension::length:
      return shown("in");
    case Dimension::area:
      return shown("in2");
    case Dimension::volume:
      return shown("in3");
    case Dimension::pressure:
      return shown("psi");
    case Dimension::temperature:
      return shown("degF");
    default:  // the others have one unit in both systems, or none in inches
      return std::string(text);
  }
}

}  // namespace pulsewright::cases
