// Reads the cam card of a valve, and what the card says of both valves.
#pragma once

#include <optional>

#include "cases/cam_lobe.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Crank angles of full lift in deg after firing top dead centre.
struct LobeCenterlines {
  double exhaust_deg = 0, intake_deg = 0;
};

// `top` is [cam]: lobe separation and intake centerline. None if the file does not have it, or if
// something is wrong, which is noted.
std::optional<LobeCenterlines> read_centerlines(Section top);

// `top` is [exhaust_valve.cam] or [intake_valve.cam]; centerline_deg: of this valve from [cam].
// None if something is wrong, which is noted.
std::optional<Lobe> read_cam(Section top, Problems& problems, bool exhaust,
                             std::optional<double> centerline_deg);

}  // namespace pulsewright::cases
