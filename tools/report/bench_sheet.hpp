// The cutting sheet of a header for the sheets of the page.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// tools/cutting/cut_sheet_text.hpp's JSON of the header of that name; where it cannot be built,
// only "error" with the reason; null if the case has no such header.
nlohmann::json bench_sheet(const cases::CaseFile& case_file, const std::string& name);

}  // namespace pulsewright::tools
