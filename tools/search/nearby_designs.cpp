#include "tools/search/nearby_designs.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <set>
#include <utility>

#include "cases/design_variable.hpp"
#include "tools/search/value_text.hpp"

namespace pulsewright::tools {

namespace {

constexpr double sixteenth = 0.0254 / 16;  // m
constexpr double at_limit = 0.01;          // of a variable's range: so near to it is at it
constexpr double length_rounding = 1e-9;   // m, of a length at the end of its range

// A length in whole steps within its range; as it is where none lies in it.
double whole(const cases::DesignVariable& variable, double value, double step) {
  if (!variable.is_length()) return value;
  double rounded = std::round(value / step) * step;
  if (rounded > variable.to + length_rounding) rounded -= step;
  if (rounded < variable.from - length_rounding) rounded += step;
  return rounded > variable.to + length_rounding ? value : rounded;
}

std::optional<BeyondLimit> beyond_range(const SearchSpace& space, const std::vector<double>& best,
                                        std::size_t i) {
  const auto& variable = space.variables[i];
  if (!variable.is_length()) return std::nullopt;
  const double near = at_limit * (variable.to - variable.from);
  const bool low = best[i] <= variable.from + near;
  if (!low && best[i] < variable.to - near) return std::nullopt;
  std::vector<double> values = best;
  values[i] = low ? variable.from - half_inch : variable.to + half_inch;
  if (!(values[i] > 0)) return std::nullopt;
  const std::string what =
      fmt::format("{}, {}", cases::variable_name(variable), low ? "smallest" : "largest");
  return BeyondLimit{what, values[i], values};
}

// The limits of what fits number f are moved, and with them the tubes that have a length of their
// own and lie at them, as far as their range goes.
std::optional<BeyondLimit> beyond_fit(const SearchSpace& space, const std::vector<double>& best,
                                      std::size_t f) {
  const cases::TubeFit& fit = space.fits[f];
  const cases::HeaderDesign drawn = space.drawn(best);
  const auto at_low = [&](int cylinder) {
    return drawn.primary_length.at(cylinder) <= fit.shortest + length_rounding;
  };
  const auto at_high = [&](int cylinder) {
    return drawn.primary_length.at(cylinder) >= fit.longest - length_rounding;
  };
  const auto held = std::find_if(fit.cylinders.begin(), fit.cylinders.end(),
                                 [&](int c) { return at_low(c) || at_high(c); });
  if (held == fit.cylinders.end()) return std::nullopt;
  const bool low = at_low(*held);
  const double beyond = low ? fit.shortest - half_inch : fit.longest + half_inch;
  std::vector<double> values = best;
  values[space.variables.size() + f] = half_inch;
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    const auto& variable = space.variables[i];
    if (variable.part != cases::VariedPart::primary_length || variable.cylinders.size() != 1) {
      continue;
    }
    const int cylinder = variable.cylinders.front();
    const bool fits =
        std::find(fit.cylinders.begin(), fit.cylinders.end(), cylinder) != fit.cylinders.end();
    if (!fits || !(low ? at_low(cylinder) : at_high(cylinder))) continue;
    values[i] = std::clamp(beyond, variable.from, variable.to);
  }
  const std::string what =
      fmt::format("what fits cylinder {}, {}", *held, low ? "shortest" : "longest");
  return BeyondLimit{what, beyond, values};
}

}  // namespace

bool within_limits(const SearchSpace& space, const std::vector<double>& values) {
  for (std::size_t i = 0; i < values.size(); ++i) {
    const bool of_fit = i >= space.variables.size();
    const double least = of_fit ? 0 : space.variables[i].least();
    const double most = of_fit ? 0 : space.variables[i].greatest();
    if (values[i] < least - length_rounding || values[i] > most + length_rounding) return false;
  }
  return true;
}

Ease ease_of(const SearchSpace& space, const std::vector<double>& values) {
  Ease ease;
  std::set<long> lengths;
  const cases::HeaderDesign drawn = space.drawn(values);
  for (const auto& [cylinder, length] : drawn.primary_length) {
    lengths.insert(std::lround(length / sixteenth));
  }
  ease.lengths = lengths.size();
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    const auto& variable = space.variables[i];
    if (!variable.is_length()) continue;
    const double halves = cases::variable_value(drawn, variable) / half_inch;
    if (std::abs(halves - std::round(halves)) > 1e-6) ++ease.odd;
  }
  return ease;
}

std::vector<std::vector<double>> easier_designs(const SearchSpace& space,
                                                const std::vector<double>& best) {
  std::vector<std::vector<double>> designs;
  for (const double step : {half_inch, 2 * half_inch}) {
    std::vector<double> rounded = best, alike = best;
    double sum = 0;
    int primaries = 0;
    for (std::size_t i = 0; i < space.variables.size(); ++i) {
      const auto& variable = space.variables[i];
      rounded[i] = whole(variable, best[i], step);
      alike[i] = rounded[i];
      if (variable.part != cases::VariedPart::primary_length) continue;
      sum += best[i];
      ++primaries;
    }
    designs.push_back(rounded);
    if (primaries < 2) continue;
    for (std::size_t i = 0; i < space.variables.size(); ++i) {
      const auto& variable = space.variables[i];
      if (variable.part != cases::VariedPart::primary_length) continue;
      const double mean = std::clamp(sum / primaries, variable.from, variable.to);
      alike[i] = whole(variable, mean, step);
    }
    designs.push_back(alike);
  }
  return designs;
}

std::vector<BeyondLimit> beyond_limits(const SearchSpace& space, const std::vector<double>& best) {
  std::vector<BeyondLimit> list;
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    if (auto beyond = beyond_range(space, best, i)) list.push_back(std::move(*beyond));
  }
  for (std::size_t f = 0; f < space.fits.size(); ++f) {
    if (auto beyond = beyond_fit(space, best, f)) list.push_back(std::move(*beyond));
  }
  return list;
}

}  // namespace pulsewright::tools
