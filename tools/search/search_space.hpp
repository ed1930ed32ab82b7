// The designs that a search can name: values of its variables, and which build error they have.
//
// In: the reference header, variables, what fits the car, the build tolerance. Out: a header for
// each trial.
//
// Build errors: every tube of a header (each primary, secondaries, collector, tail) comes out
// longer or shorter than drawn. Sample 0 has none; samples 2 k - 1 and 2 k have opposite errors of
// the same size (antithetic pairs), so that what is linear in the errors cancels in their mean
// exactly. Two kinds:
//   two_valued   +-t / sqrt(3) with random signs, t the build tolerance: the variance of errors
//   that
//                are uniform in +-t. The mean of such a pair is the mean over the tolerance but for
//                what two errors do together, in expectation: f + 1/2 e^T H e, which is the
//                estimator of the trace of H of Hutchinson (1990)
//   uniform      uniform in +-t: a sample of finished headers
#pragma once

#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/tune.hpp"

namespace pulsewright::tools {

enum class BuildErrors { two_valued, uniform };

// One design of a search, before it is computed.
struct TrialKey {
  // Of the variables: m, or a place in a list. Behind those one for each of what fits: m by which
  // both of its limits are moved outwards.
  std::vector<double> values;
  int sample = 0;  // of build errors; 0 = as drawn

  bool operator==(const TrialKey&) const = default;
  auto operator<=>(const TrialKey&) const = default;
};

struct SearchSpace {
  cases::HeaderDesign reference;
  std::vector<cases::DesignVariable> variables;
  std::vector<cases::TubeFit> fits;  // within which primaries are held
  double build_tolerance = 0;        // m
  BuildErrors errors = BuildErrors::two_valued;
  unsigned seed = 0;

  // Those whose design is the reference; what fits is moved so far that it fits.
  std::vector<double> reference_values() const;
  // The header as it is drawn, and as it is built. Throw std::invalid_argument for values that
  // cannot be (cases/design_variable.hpp).
  cases::HeaderDesign drawn(const std::vector<double>& values) const;
  cases::HeaderDesign built(const TrialKey& key) const;
};

// m, by tube in the order primaries (by cylinder number), secondaries, collector, tail; the same
// for the same seed and sample on every machine.
std::vector<double> build_errors(const SearchSpace& space, int sample);

}  // namespace pulsewright::tools
