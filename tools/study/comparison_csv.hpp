// The main figures of a comparison as a table of comma-separated values (RFC 4180), for a
// spreadsheet.
//
// One row per header and speed, in the order of the file. The first row names the columns, each
// with its unit: header, speed, whether the point counts (and if not, why), torque, power, air and
// fuel, pressure during overlap, exhaust temperature. A figure that is not there is empty. In US
// customary units where `system` is inch; the decimal sign is a point.
#pragma once

#include <string>

#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

std::string comparison_csv(const StudyResults& results, const Comparison& comparison,
                           UnitSystem system);

}  // namespace pulsewright::tools
