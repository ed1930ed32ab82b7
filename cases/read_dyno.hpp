// The tables [[dyno]] of a case file: what was measured.
#pragma once

#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Notes problems at their keys: a header that does not exist or stands twice, neither torque nor
// power, a unit that is none of the column, observed torque without the air of the day.
std::vector<DynoRecord> read_dyno(Section& top, Problems& problems,
                                  const std::vector<HeaderDesign>& headers);

// The dimension of a column by its key in dyno.columns; air flow has two, of which this is the
// first.
Dimension dyno_dimension(std::string_view column);
// The dimension of a unit of that column. Throws QuantityError for one that is none of it.
Dimension dyno_dimension(std::string_view column, std::string_view unit);

}  // namespace pulsewright::cases
