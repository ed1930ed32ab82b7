#include "tools/study/point_fault.hpp"

#include "tools/study/pattern_words.hpp"

namespace pulsewright::tools {

std::optional<PointFault> fault_of(const StoredPoint& point) {
  switch (point.status) {
    case PointStatus::missing:
      return PointFault::missing;
    case PointStatus::failed:
      return PointFault::failed;
    case PointStatus::damaged:
      return PointFault::damaged;
    case PointStatus::not_converged:
      return PointFault::not_repeating;
    case PointStatus::converged:
      break;
  }
  if (point.result->clipped > 0) return PointFault::clipped;
  if (uneven_point(*point.result)) return PointFault::uneven;
  return std::nullopt;
}

std::string_view fault_name(PointFault fault) {
  switch (fault) {
    case PointFault::missing:
      return "missing";
    case PointFault::failed:
      return "failed";
    case PointFault::damaged:
      return "damaged";
    case PointFault::not_repeating:
      return "does not repeat";
    case PointFault::clipped:
      return "clipped";
    case PointFault::uneven:
      break;
  }
  return "cylinders differ";
}

}  // namespace pulsewright::tools
