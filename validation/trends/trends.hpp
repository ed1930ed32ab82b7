// Trends known from the trade: length, bore, overlap and collectors.
#pragma once

#include "validation/case.hpp"

namespace pulsewright::validation {

// tuning.cpp: one cylinder, one pipe
CaseReport tuned_length(Broken broken);
CaseReport opening_period(Broken broken);
CaseReport overlap_needed(Broken broken);

// tubes.cpp
CaseReport longer_primary(Broken broken);
CaseReport wider_primary(Broken broken);

// collectors.cpp
CaseReport even_collectors(Broken broken);

}  // namespace pulsewright::validation
