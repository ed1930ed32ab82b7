// What the page shows and plays of the sound of the headers.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>

#include "cases/case_file.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// tools/listen/sound_text.hpp's JSON, with words for the page and, where there are two speeds at
// least, the pull of every header as FLAC in base64 at one common gain ("audio"). Where there is
// nothing to be heard: only "reason". case_file: that of the results, none where it is refused.
nlohmann::json sound_data(const StudyResults& results,
                          const std::optional<cases::CaseFile>& case_file);

}  // namespace pulsewright::tools
