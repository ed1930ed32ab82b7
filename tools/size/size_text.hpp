// What `pulsewright size` prints: as text in lines of 80 characters, as JSON, and its table of
// stock tubes as CSV.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "tools/size/header_proposal.hpp"
#include "tools/size/header_trial.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// trials: empty if nothing was simulated.
std::string size_text(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials,
                      UnitSystem units);

// SI units, speeds in rpm, angles in deg.
nlohmann::json size_json(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials);

// One row per stock tube about the chosen one.
std::string size_csv(const HeaderProposal& proposal, UnitSystem units);

}  // namespace pulsewright::tools
