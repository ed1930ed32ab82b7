// The perfect air of the textbook cases.
#pragma once

namespace pulsewright::validation {

inline constexpr double g = 1.4;     // ratio of specific heats
inline constexpr double R = 287.05;  // J/(kg K)

}  // namespace pulsewright::validation
