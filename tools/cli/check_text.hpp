// What `check` says of a case that was read: engine, valves, every header with its tubes, and what
// the hand rules say of them.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "cases/case_file.hpp"
#include "cases/quantity_text.hpp"

namespace pulsewright::tools {

// Both in lines of 80 characters; the engine's only of a case that has one.
std::string engine_text(const cases::CaseFile& case_file, const cases::QuantityText& shown);
std::string header_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                        const cases::QuantityText& shown);

// SI units, crank angles in degrees after firing top dead centre, speeds in rpm. A figure that the
// case does not have is null.
nlohmann::json engine_json(const cases::CaseFile& case_file);
nlohmann::json header_json(const cases::CaseFile& case_file, const cases::HeaderDesign& header);

}  // namespace pulsewright::tools
