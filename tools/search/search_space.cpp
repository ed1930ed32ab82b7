#include "tools/search/search_space.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>

#include "cases/design_variable.hpp"

namespace pulsewright::tools {

namespace {

constexpr double cases::HeaderDesign::*other_lengths[] = {&cases::HeaderDesign::secondary_length,
                                                          &cases::HeaderDesign::collector_length,
                                                          &cases::HeaderDesign::tail_length};

// From 0 to 1, the same on every machine, which the standard library's distributions are not.
double uniform(std::mt19937_64& random) { return static_cast<double>(random() >> 11) * 0x1p-53; }

}  // namespace

std::vector<double> SearchSpace::reference_values() const {
  std::vector<double> values;
  for (const auto& variable : variables) {
    values.push_back(cases::variable_value(reference, variable));
  }
  for (const cases::TubeFit& fit : fits) {
    double beyond = 0;
    for (const int cylinder : fit.cylinders) {
      const double length = reference.primary_length.at(cylinder);
      beyond = std::max({beyond, fit.shortest - length, length - fit.longest});
    }
    values.push_back(beyond);
  }
  return values;
}

cases::HeaderDesign SearchSpace::drawn(const std::vector<double>& values) const {
  std::vector<cases::TubeFit> moved = fits;
  for (std::size_t i = 0; i < moved.size(); ++i) {
    moved[i].shortest -= values[variables.size() + i];
    moved[i].longest += values[variables.size() + i];
  }
  return cases::varied_header(reference, variables, values, moved);
}

cases::HeaderDesign SearchSpace::built(const TrialKey& key) const {
  cases::HeaderDesign design = drawn(key.values);
  if (key.sample == 0) return design;
  const std::vector<double> longer = build_errors(*this, key.sample);
  std::size_t tube = 0;
  for (auto& [cylinder, length] : design.primary_length) length += longer[tube++];
  for (const auto other : other_lengths) {
    if (design.*other > 0) design.*other += longer[tube];
    ++tube;
  }
  return design;
}

std::vector<double> build_errors(const SearchSpace& space, int sample) {
  std::vector<double> errors(space.reference.primary_length.size() + std::size(other_lengths), 0.0);
  if (sample == 0) return errors;
  const auto pair = static_cast<std::uint64_t>((sample + 1) / 2);
  std::mt19937_64 random((static_cast<std::uint64_t>(space.seed) << 32) + pair);
  const double sign = sample % 2 == 1 ? 1 : -1;
  for (double& error : errors) {
    const double number = 2 * uniform(random) - 1;
    const double size =
        space.errors == BuildErrors::uniform ? number : std::copysign(1 / std::sqrt(3.0), number);
    error = sign * size * space.build_tolerance;
  }
  return errors;
}

}  // namespace pulsewright::tools
