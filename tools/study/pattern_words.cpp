#include "tools/study/pattern_words.hpp"

#include <fmt/format.h>

#include "models/figures/cylinder_pattern.hpp"

namespace pulsewright::tools {

using models::SecondPattern;

std::optional<UnevenPoint> uneven_point(const models::PointResult& p) {
  if (p.pattern_firings <= 1) return std::nullopt;
  return UnevenPoint{p.speed,          p.torque,         p.same_cylinders, p.pattern_firings,
                     p.second_pattern, p.pattern_spread, p.second_torque};
}

std::string pattern_words(const UnevenPoint& p, UnitSystem system) {
  std::string words = fmt::format(
      "cylinders that are the same by symmetry settle differently, charging efficiency by {:.1f} %",
      100 * p.pattern_spread);
  words +=
      p.pattern_firings < p.same_cylinders
          ? fmt::format(", in a pattern that repeats every {} of their firings", p.pattern_firings)
          : fmt::format(", each of {} in its own way", p.same_cylinders);
  const DisplayUnit unit = DisplayUnits(system).torque;
  const auto torque = [&](double value) { return fmt::format("{:.1f}", value * unit.factor); };
  switch (static_cast<SecondPattern>(p.second_pattern)) {
    case SecondPattern::both_last:
      words += fmt::format(
          "; started alike they stay alike, with {} {} for {}: both patterns exist, and which one "
          "the engine runs in depends on how it came there",
          torque(p.second_torque), unit.name, torque(p.torque));
      break;
    case SecondPattern::parts_again:
      words += fmt::format("; started alike they part again ({} {} for {})",
                           torque(p.second_torque), unit.name, torque(p.torque));
      break;
    case SecondPattern::never_repeats:
      words += "; started alike they settle in no pattern that repeats";
      break;
    case SecondPattern::first_fades:
      words += fmt::format("; the pattern fades away in many cycles, and {} {} remain for {}",
                           torque(p.second_torque), unit.name, torque(p.torque));
      break;
    case SecondPattern::not_tried:
      break;
  }
  return words;
}

}  // namespace pulsewright::tools
