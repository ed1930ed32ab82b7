// Which pulse acts on which cylinder, from the runs of a results file in which one pulse was
// absorbed (models/figures/absorbed_pulse.hpp; variants on the coarse grid).
//
//   change[j][i] = overlap pressure of cylinder j with all pulses
//                  - the same without the pulse of cylinder i
//
// Below zero, i helps j: its pulse lowers the pressure at j's exhaust valve while both valves are
// open. Above zero it hurts.
#pragma once

#include <vector>

#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

struct InterferencePoint {
  double speed = 0;  // rev/s
  // Pa, by cylinder acted on and cylinder that acts, in the order of the header's cylinders; NaN
  // where one of the two runs has no numbers.
  std::vector<std::vector<double>> change;
  double seconds = 0;  // what the runs with an absorbed pulse took
};

struct Interference {
  std::size_t header_number = 0;  // into StudyResults::headers
  std::vector<InterferencePoint> points;
};

// One per header that has such runs.
std::vector<Interference> interference_of(const StudyResults& results);

}  // namespace pulsewright::tools
