// Designs of a search beside one that it has found: easier to build, or beyond a limit that holds
// it. A design is the values of TrialKey.
#pragma once

#include <compare>
#include <cstddef>
#include <string>
#include <vector>

#include "tools/search/search_space.hpp"

namespace pulsewright::tools {

// Whether every value lies within the range of its variable, and no limit of what fits is moved.
bool within_limits(const SearchSpace& space, const std::vector<double>& values);

// What makes a design easy to build.
struct Ease {
  std::size_t lengths = 0;  // different primary lengths, to a sixteenth of an inch
  std::size_t odd = 0;      // varied lengths that are no whole half inches
  auto operator<=>(const Ease&) const = default;
};
// Throws std::invalid_argument for values that cannot be.
Ease ease_of(const SearchSpace& space, const std::vector<double>& values);

// The design with lengths in whole half inches and whole inches, and with all its varied primaries
// alike besides, where it varies several. What lies in its range stays there.
std::vector<std::vector<double>> easier_designs(const SearchSpace& space,
                                                const std::vector<double>& values);

// A limit that a design lies at, and the same design beyond it.
struct BeyondLimit {
  std::string what;   // "primary length 3, largest"
  double beyond = 0;  // m, half an inch beyond the limit
  std::vector<double> values;
};

// Ranges of lengths first, then what fits. Beyond what fits tubes with a length of their own that
// lie at it are moved, too, as far as their range goes. Throws std::invalid_argument for values
// that cannot be.
std::vector<BeyondLimit> beyond_limits(const SearchSpace& space, const std::vector<double>& values);

}  // namespace pulsewright::tools
