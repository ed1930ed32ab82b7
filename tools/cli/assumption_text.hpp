// What a case leaves out and the reader took instead, as `check` prints it.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "cases/case_file.hpp"
#include "cases/quantity_text.hpp"
#include "tools/cli/default_effects.hpp"

namespace pulsewright::tools {

// Lines of 80 characters; empty if the case leaves nothing out. With effects in their order, and
// what each end of a range does to the torque.
std::string assumptions_text(const cases::CaseFile& case_file,
                             const std::optional<DefaultEffects>& effects,
                             const cases::QuantityText& shown);

// A list of key, value, least, greatest (null where there is none) and reason; with effects also
// torque_at_least and torque_at_greatest, 0.01 = 1 %, null where none is known.
nlohmann::json assumptions_json(const cases::CaseFile& case_file,
                                const std::optional<DefaultEffects>& effects);

}  // namespace pulsewright::tools
