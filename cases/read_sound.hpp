// Reads where the exhaust of a case is heard.
#pragma once

#include "cases/section.hpp"
#include "models/sound/listening.hpp"

namespace pulsewright::cases {

// `s` is [sound].
models::ListeningSpecification read_sound(Section s);

}  // namespace pulsewright::cases
