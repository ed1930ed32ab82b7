// Reads a valve of a case file: its lift from a cam card or a table, its flow from a bench or from
// discharge coefficients.
#pragma once

#include <optional>

#include "cases/cam_lobe.hpp"
#include "cases/section.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::cases {

// `top` is [exhaust_valve] or [intake_valve]; centerline_deg: of its lobe from [cam], in deg after
// firing top dead centre. Notes what is wrong in `problems`. `lobe` is set if the lift comes from a
// cam card.
models::ValveSpecification read_valve(Section top, Problems& problems, bool exhaust,
                                      std::optional<double> centerline_deg,
                                      std::optional<Lobe>& lobe);

}  // namespace pulsewright::cases
