// By how much each default of a case matters: the torque with it at the ends of its range.
//
// One header, one speed (the first header, the middle of the band), on cells three times as long, a
// bounded number of cycles: for the order of the effects and their size, not for a verdict.
#pragma once

#include <atomic>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// Changes of torque, 0.01 = 1 %; none where a run fails, or where the key has no two ends.
struct DefaultEffect {
  std::size_t assumption = 0;  // index into the assumptions of the case
  std::optional<double> at_least, at_greatest;
  double size() const;  // the greater of the two, 0 if there is none
};

struct DefaultEffects {
  std::string header;
  double speed = 0;                    // rev/s
  std::vector<DefaultEffect> effects;  // largest first
};

// The case must come from the reader and have an engine. Ends early when `stop` becomes true; what
// is missing then has no change. Throws RunFault or std::invalid_argument if the case as it stands
// cannot be simulated.
DefaultEffects default_effects(const cases::CaseFile& case_file, const std::atomic<bool>& stop);

}  // namespace pulsewright::tools
