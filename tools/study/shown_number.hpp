// Numbers that may be missing, as texts and JSON show them.
#pragma once

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <string>

namespace pulsewright::tools {

inline std::string number_or_dash(double value, int digits) {
  if (!std::isfinite(value)) return "-";
  std::string text = fmt::format("{:.{}f}", value, digits);
  return text.find_first_not_of("-0.") == std::string::npos && text.front() == '-' ? text.substr(1)
                                                                                   : text;
}

// With its sign, a plus too; none before zero.
inline std::string signed_or_dash(double value, int digits) {
  const std::string text = number_or_dash(value, digits);
  return value > 0 && text.find_first_not_of("0.") != std::string::npos ? "+" + text : text;
}

// speed: rev/s.
inline std::string rpm_text(double speed) { return fmt::format("{:.0f}", 60 * speed); }

inline nlohmann::json number_or_null(double value) {
  return std::isfinite(value) ? nlohmann::json(value) : nlohmann::json(nullptr);
}

}  // namespace pulsewright::tools
