// Gas that runs faster than sound in an exhaust pipe: behind a neck that chokes, in the cone.
//
// In the model it then runs on as in a nozzle without separation and ends in a shock. A shock
// stronger than that of about Mach 1.3 separates the boundary layer (from memory), and a wide cone
// separates it before, so that losses and suction behind it are not those of the real part.
#pragma once

#include <optional>
#include <string>

#include "models/figures/point_result.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

struct SupersonicPoint {
  double speed = 0;     // rev/s
  double mach = 0;      // highest of the cycle
  double distance = 0;  // m from the left end of the pipe
  std::string pipe;     // "" where the point does not name it
};

// None where the gas stays at Mach 1 or below in all exhaust pipes; 2 % beyond it are the scatter
// of a valve that chokes.
std::optional<SupersonicPoint> supersonic_point(const models::PointResult& point);

// What was found, as a sentence without header and speed.
std::string supersonic_words(const SupersonicPoint& point, UnitSystem system);

}  // namespace pulsewright::tools
