// What a calibration may turn: keys of the case file with a physical meaning that no bench has
// measured, each within the range that engines have.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_reader.hpp"

namespace pulsewright::tools {

struct Knob {
  std::string_view name;     // "intake-flow"
  std::string_view key;      // of the case file, full name
  std::string_view section;  // of the parameter table that has it
  std::string_view unit;     // of the numbers here; "" = a plain number
  double least = 0, most = 0;
  std::string_view words;  // "flow of the intake valves"
};

// All of them. Ranges: common practice, no source, as those of the assumptions in
// cases/defaults.cpp; flow benches agree within some 5 % and ports on the engine within 10 % of
// the bench.
std::span<const Knob> knobs();

// Those of these names; for an empty list all but friction-by-speed, which a calibration can hardly
// tell from the efficiency. Throws std::invalid_argument that names the nearest one, or one that is
// named twice.
std::vector<Knob> chosen_knobs(const std::vector<std::string>& names);

// The value that a case has, or takes where it has none; in the unit of the knob.
double knob_value(const cases::CaseFile& case_file, const Knob& knob);

// The key with that value, five digits.
cases::Override with_knob(const Knob& knob, double value);

}  // namespace pulsewright::tools
