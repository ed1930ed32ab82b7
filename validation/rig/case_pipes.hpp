// The exhaust pipes of a header as a case file describes it, without the engine.
#pragma once

#include <string>

#include "models/network/specification.hpp"

namespace pulsewright::validation {

// Pipes and junctions of the only header of a case of the shipped single, or of a twin or a four
// of its kind, with these lines of [exhaust] and of [[header]] (without its name). Cold, filled
// with ambient air at rest, smooth, without heat transfer; primaries begin with nothing and the
// last pipe ends in nothing. Throws cases::CaseError for lines that the reader refuses.
models::EngineSpecification exhaust_pipes(const std::string& exhaust, const std::string& header,
                                          int cylinders = 1);

}  // namespace pulsewright::validation
