// Why a point takes no part in differences, means, peaks and verdicts.
#pragma once

#include <optional>
#include <string_view>

#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// uneven: cylinders that are the same by symmetry settled differently.
enum class PointFault { missing, failed, damaged, not_repeating, clipped, uneven };

// None where the point counts.
std::optional<PointFault> fault_of(const StoredPoint& point);

// "does not repeat", "cylinders differ", ...
std::string_view fault_name(PointFault fault);

}  // namespace pulsewright::tools
