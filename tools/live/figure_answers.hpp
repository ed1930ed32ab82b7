// Answers about figures: which there are, their mean over a band, the number that a text means.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace pulsewright::tools {

// The answer to one of the calls figures, band, value (README.md); null for another. Throws
// std::exception with what is wrong: cases::QuantityError for a text that is no value,
// std::invalid_argument for a key that does not exist, nlohmann's for arguments that are missing.
nlohmann::json figure_answer(const std::string& call, const nlohmann::json& request);

}  // namespace pulsewright::tools
