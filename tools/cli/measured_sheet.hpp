// Measured pulls over the results of a study, for the page of `compare` and `report`.
#pragma once

#include <optional>
#include <string>

#include "tools/dyno/dyno_curves.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// The pulls that the case of the results names, in the air of the case; none where it names none.
// folder: of their files; not given: that of the case file. A file that is not at hand or cannot be
// read: PullFileError if the folder was given, else none, which is said on stderr.
std::optional<DynoResult> measured_sheet(const StudyResults& results,
                                         const std::optional<std::string>& folder);

}  // namespace pulsewright::tools
