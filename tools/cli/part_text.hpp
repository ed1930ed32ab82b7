// What `check` says of the parts behind the collectors and of the intake.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/quantity_text.hpp"

namespace pulsewright::tools {

// The number, or null where there is none.
nlohmann::json or_null(const std::optional<double>& value);

// Name and text of every part of the header.
std::vector<std::pair<std::string, std::string>> part_lines(const cases::CaseFile& case_file,
                                                            const cases::HeaderDesign& header,
                                                            const cases::QuantityText& shown);
nlohmann::json parts_json(const cases::CaseFile& case_file, const cases::HeaderDesign& header);

// Lines on throttle, plenum and air box; none where the runners draw from the open. The case has an
// engine.
std::vector<std::string> intake_lines(const cases::CaseFile& case_file,
                                      const cases::QuantityText& shown);
nlohmann::json intake_json(const cases::CaseFile& case_file);

}  // namespace pulsewright::tools
