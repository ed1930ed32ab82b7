// Case texts that several tests use and change. Invented numbers.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace pulsewright::tests {

inline constexpr double inch = 0.0254;  // m, by definition

inline bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

// A complete, small case of a cross-plane V8. Tests replace single lines of it.
inline const std::string& sample_text() {
  static const std::string text = R"(title = "sample"
invented = true

[engine]
bore = "102 mm"
stroke = "76.5 mm"
rod = "150 mm"
compression_ratio = 12.0
firing_order = [1, 8, 4, 3, 6, 5, 7, 2]
banks = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }

[exhaust_valve]
seat_diameter = "39 mm"

[exhaust_valve.cam]
timing_lift = "0 in"
opens = "82 deg BBDC"
closes = "40 deg ATDC"
lift = "14 mm"
duration = "256 deg"

[exhaust_valve.flow]
depression = "28 inH2O"
lift = ["0.1 in", "0.3 in", "0.5 in"]
forward = ["68 cfm", "168 cfm", "207 cfm"]

[intake_valve]
seat_diameter = "49 mm"

[intake_valve.cam]
timing_lift = "0 in"
opens = "42 deg BTDC"
closes = "74 deg ABDC"
lift = "14 mm"
duration = "252 deg"

[intake_valve.flow]
depression = "28 inH2O"
lift = ["0.1 in", "0.3 in", "0.5 in"]
forward = ["73 cfm", "206 cfm", "284 cfm"]

[intake]
length = "290 mm"
entry_diameter = "50 mm"

[exhaust]
port_length = "75 mm"
port_diameter = "40 mm"

[[header]]
name = "equal-length"
kind = "equal-length"
primary_tube = "1-7/8 in OD, 16 ga"
primary_length = "32 in"
collector_tube = "3-1/2 in OD, 16 ga"
collector_length = "16 in"

[[header]]
name = "stepped-length"
kind = "stepped-length"
primary_tube = "1-7/8 in OD, 16 ga"
shortest = "28 in"
longest = "34 in"
collector_tube = "3-1/2 in OD, 16 ga"
collector_length = "16 in"

[run]
from = "3000 rpm"
to = "7500 rpm"
step = "250 rpm"
)";
  return text;
}

// A case of pipes only, with a junction.
inline const std::string& sample_pipes() {
  static const std::string text = R"(title = "pipes"
[[header]]
name = "branch"
kind = "network"
[[header.pipe]]
name = "one"
from = "closed"
to = "junction J"
tube = "40 mm ID"
length = "0.5 m"
[[header.pipe]]
name = "two"
from = "closed"
to = "junction J"
tube = "40 mm ID"
length = "0.5 m"
[[header.pipe]]
name = "three"
from = "junction J"
to = "open"
tube = "50 mm ID"
length = "0.5 m"
[[header.junction]]
name = "J"
[run]
duration = "5 ms"
)";
  return text;
}

// `text` with the first `from` replaced by `to`; empty if there is no `from`, which no reader
// takes.
inline std::string replaced(std::string text, std::string_view from, std::string_view to) {
  const std::size_t at = text.find(from);
  if (at == std::string::npos) return {};
  return text.replace(at, from.size(), to);
}

// Line (from 1) on which `part` first stands in `text`; 0 if nowhere.
inline int line_of(std::string_view text, std::string_view part) {
  const std::size_t at = text.find(part);
  if (at == std::string_view::npos) return 0;
  int line = 1;
  for (std::size_t i = 0; i < at; ++i) line += text[i] == '\n' ? 1 : 0;
  return line;
}

inline std::filesystem::path shipped_folder() {
  return std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) / "cases";
}

inline std::vector<std::filesystem::path> shipped_files() {
  std::vector<std::filesystem::path> out;
  for (const auto& entry : std::filesystem::directory_iterator(shipped_folder())) {
    if (entry.path().extension() == ".toml") out.push_back(entry.path());
  }
  return out;
}

}  // namespace pulsewright::tests
