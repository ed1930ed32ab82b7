// Reads the air outside, the fuel and how it burns.
#pragma once

#include "cases/section.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::cases {

struct Weather {
  models::Ambient ambient;
  double water_vapour = 0;  // mole fraction in the air
};

// `top` is [ambient]; engine: whether the case has one. Notes what is wrong.
Weather read_weather(Section top, Problems& problems, bool engine);

// `top` is [combustion]. Notes what is wrong in `problems`.
models::CombustionSpecification read_combustion(Section top, Problems& problems,
                                                const Weather& weather);

}  // namespace pulsewright::cases
