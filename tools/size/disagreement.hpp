// Where the hand rules disagree with each other, and with one simulation of each header, in words.
#pragma once

#include <string>
#include <vector>

#include "cases/quantity_text.hpp"
#include "tools/size/header_proposal.hpp"
#include "tools/size/header_trial.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// "2200 to 2600 mm", or one of them where both are the same.
std::string range_text(const models::Range& range, const cases::QuantityText& shown);

// One or two sentences each, without the full stop of the last.
std::vector<std::string> rule_disagreements(const HeaderProposal& proposal,
                                            const cases::QuantityText& shown, UnitSystem units);
// trials: of the headers of the proposal, in their order.
std::vector<std::string> trial_disagreements(const HeaderProposal& proposal,
                                             const std::vector<HeaderTrial>& trials,
                                             UnitSystem units);

}  // namespace pulsewright::tools
