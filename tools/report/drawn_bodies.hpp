// Mufflers and catalysts in the drawing of a header: each is one body with its name, whatever
// number of pipes the model makes of it.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// The drawing that header_drawing() makes, with the pipes of every catalyst and muffler of the
// header joined to one of their outline, and junctions between them left out.
nlohmann::json with_bodies(nlohmann::json drawing, const cases::HeaderDesign& header);

}  // namespace pulsewright::tools
