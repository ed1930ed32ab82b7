// What a page asks about a case file itself: its keys, what is wrong with it, changes of its text,
// and what a header of it looks like. The calls are described in README.md.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace pulsewright::tools {

// The answer to the calls parameters, stock_tubes, read, edit, drawing and sheet; null for another
// call. Throws std::invalid_argument for a request that misses or mistakes something, and CaseError
// where a case must be right and is not.
nlohmann::json case_answer(const std::string& call, const nlohmann::json& request);

}  // namespace pulsewright::tools
