// Reads where the exhaust of a case is heard.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"
#include "models/sound/listening.hpp"

namespace pulsewright::cases {

// `s` is [sound], `headers` those of the case: their outlets must not lie below the ground.
models::ListeningSpecification read_sound(Section s, const std::vector<HeaderDesign>& headers);

}  // namespace pulsewright::cases
