// What the pipes of a drawn header are cut from.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// Lengths that differ by less are the same, m. A part behind a sudden step begins so far behind it.
inline constexpr double slack = 1e-6;

// Parts as header_drawing() lists them: name, from, to (m) and tube, of a primary from the valve
// on. port: m in the head; end: m, its whole length.
nlohmann::json primary_parts(const cases::HeaderDesign& header, int cylinder, double port,
                             double end);

// The same of any other pipe, and of every pipe of a network.
nlohmann::json parts_of(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                        const models::PipeSpecification& pipe, double port);

}  // namespace pulsewright::tools
