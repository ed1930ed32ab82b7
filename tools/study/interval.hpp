// The interval of a figure, or of its difference between two headers: each part from the runs of a
// results file, as comparison.hpp states it.
//
// Speeds are indices into StudyPlan::speeds; figures in SI.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "models/figures/point_result.hpp"
#include "tools/study/band.hpp"
#include "tools/study/study_results.hpp"
#include "tools/study/verdict.hpp"

namespace pulsewright::tools {

using Figure = std::function<double(const models::PointResult&)>;

// One header, or one less another one, in one run: the figure at each speed.
class RunFigures {
 public:
  // Points with a fault are taken only where `all_points` is set. b: null for one header alone.
  RunFigures(const StoredHeader& a, const StoredHeader* b, bool all_points)
      : a_(a), b_(b), all_points_(all_points) {}

  // Whether the run has the point (of both) and it counts; false where there is no such run.
  bool counts(const RunVariant& variant, std::size_t s) const;
  // Only where it counts.
  double operator()(const RunVariant& variant, std::size_t s, const Figure& figure) const;
  // Each header for itself.
  std::vector<RunFigures> headers() const;
  // Cells of the coarse grid over those of the production grid.
  double refinement() const;

 private:
  bool counts(const StoredRun* run, std::size_t s) const;

  const StoredHeader& a_;
  const StoredHeader* b_;
  bool all_points_;
};

// The speeds at which all these runs count.
std::vector<std::size_t> counting(const StudyPlan& plan, const RunFigures& figures,
                                  const std::vector<RunVariant>& variants);

std::vector<double> speeds_of(const StudyPlan& plan, const std::vector<std::size_t>& chosen);

// Mean over the band (band.hpp) from the chosen speeds; NaN without any.
double mean(const StudyPlan& plan, const std::vector<std::size_t>& chosen, Band band,
            const std::function<double(std::size_t)>& value);

// noise: change of the figure from cycle to cycle. NaN for the value where no point counts.
Difference interval_of(const StudyPlan& plan, const RunFigures& figures, const Figure& figure,
                       const Figure& noise, Band band);

}  // namespace pulsewright::tools
