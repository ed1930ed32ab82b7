#include "tools/study/supersonic.hpp"

#include <fmt/format.h>

#include "cases/quantity_text.hpp"

namespace pulsewright::tools {

std::optional<SupersonicPoint> supersonic_point(const models::PointResult& p) {
  constexpr double scatter = 0.02;
  if (!(p.exhaust_peak_mach > 1 + scatter)) return std::nullopt;
  SupersonicPoint out;
  out.speed = p.speed;
  out.mach = p.exhaust_peak_mach;
  const auto i = static_cast<std::size_t>(p.exhaust_peak_mach_pipe);
  if (i < p.pipes.size()) {
    out.pipe = p.pipes[i].name;
    out.distance = p.pipes[i].peak_mach_distance;
  }
  return out;
}

std::string supersonic_words(const SupersonicPoint& point, UnitSystem system) {
  const cases::QuantityText shown(system == UnitSystem::metric ? cases::MessageUnits::metric
                                                               : cases::MessageUnits::inch);
  const std::string place =
      point.pipe.empty()
          ? ""
          : fmt::format(" in {}, {} from its start", point.pipe, shown.length(point.distance, 3));
  return fmt::format(
      "the gas runs faster than sound, up to Mach {:.2f}{}: there the model follows it without "
      "separation, so that losses and suction behind it are not those of the real part; in a "
      "collector a wider neck, or one that widens less behind it, avoids it",
      point.mach, place);
}

}  // namespace pulsewright::tools
