// Numbers that may be missing, as the texts and the JSON of this folder show them.
#pragma once

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <string>

namespace pulsewright::tools {

inline std::string number_or_dash(double value, int digits) {
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, digits) : "-";
}

inline std::string signed_or_dash(double value, int digits) {
  return std::isfinite(value) ? fmt::format("{:+.{}f}", value, digits) : "-";
}

// speed: rev/s.
inline std::string rpm_text(double speed) { return fmt::format("{:.0f}", 60 * speed); }

inline nlohmann::json number_or_null(double value) {
  return std::isfinite(value) ? nlohmann::json(value) : nlohmann::json(nullptr);
}

}  // namespace pulsewright::tools
