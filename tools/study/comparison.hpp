// Numbers and verdicts of a comparison, from the points of a results file alone.
//
// A difference between two headers has an interval (verdict.hpp) from what the model and the build
// leave open:
//   merge    changes of the difference when the constants of the merges are at either end of their
//            bands
//   gas      change of the difference when less heat of combustion makes the exhaust gas cooler
//   grid     3 / (r - 1) |difference on the production grid - difference on the coarse grid|, where
//            r is the ratio of the cells: the index of Roache, J. Fluids Eng. 116 (1994) 405, for
//            two grids and the order 1, which engines show. That difference crosses zero somewhere,
//            so at one speed the largest of it and its neighbours counts, and of a mean at least
//            the root of the weighted sum of squares
//   cycle    change of both results between their last two cycles, added
//   build    change of the difference's two torques when every primary is longer by the build
//            tolerance, root of the sum of squares
//   speeds   of a mean over the band: what bends between the speeds (band.hpp)
//
// A point that failed, does not repeat, was clipped, is damaged, or in which cylinders that are the
// same by symmetry settled differently takes no part in differences, means and peaks. A pair of
// headers is compared at the speeds at which both count; where these are less than half of the
// band, or one speed of several, the difference has no verdict.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/figures/point_result.hpp"
#include "tools/study/band.hpp"
#include "tools/study/difference_split.hpp"
#include "tools/study/pattern_words.hpp"
#include "tools/study/point_fault.hpp"
#include "tools/study/shown_figures.hpp"
#include "tools/study/study_results.hpp"
#include "tools/study/supersonic.hpp"
#include "tools/study/verdict.hpp"

namespace pulsewright::tools {

struct Peak {
  double value = 0;  // SI
  double speed = 0;  // rev/s
};

// Over the band, SI; NaN where there is no point.
struct BandMean {
  double value = 0;
  double spread = 0;  // largest - smallest of the cylinders; 0 where it is not shown
};

struct ExcludedPoint {
  double speed = 0;  // rev/s
  PointFault fault = PointFault::missing;
};

struct HeaderFigures {
  std::string name;
  cases::HeaderKind kind = cases::HeaderKind::network;
  Peak torque, power;
  bool peak_at_end = false;  // of power: at the lowest or highest speed that was run
  Dip dip;
  // Mean of a figure that band_figures names; throws std::out_of_range for another one.
  double band_mean(double models::PointResult::*member) const;
  std::array<BandMean, band_figures.size()> band;                       // by band_figures
  std::size_t missing = 0, unconverged = 0, failed = 0, repeating = 0;  // points
  std::size_t damaged = 0;  // points in the file that are not as they were written, of all runs
  long clipped = 0;
  std::vector<UnevenPoint> uneven;  // cylinders that are the same settled differently
  std::vector<ExcludedPoint> excluded;
  std::vector<SupersonicPoint> supersonic;
  double worst_imbalance = 0;  // of the ledgers
};

struct SpeedDifference {
  double speed = 0;  // rev/s
  Difference torque;
  Verdict verdict = Verdict::none;
};

// How the verdict reads over another band.
struct OtherBand {
  double from = 0, to = 0;  // rev/s
  double value = 0;         // N m
  Verdict verdict = Verdict::none;
};

// One header less another one.
struct PairwiseComparison {
  std::size_t header = 0, other = 0;    // into Comparison::headers
  Difference torque;                    // N m, mean over the band
  Difference overlap_exhaust_pressure;  // Pa, mean over the band
  double power = 0;                     // W, mean over the band
  Verdict verdict = Verdict::none;      // of the torque
  std::vector<OtherBand> other_bands;   // each edge moved by a step, in and out
  std::vector<SpeedDifference> speeds;  // at which both count
  std::vector<double> crossings;        // rev/s, within the band: the torque curves cross
  // What each part of the headers makes of the torque; of pairs with the best header, where the
  // case can be read.
  std::optional<DifferenceSplit> split;

  PairwiseComparison reversed() const;
};

// Pulses at one merge at one speed.
struct PulseSpacing {
  std::size_t header_number = 0;
  double speed = 0;  // rev/s
  models::MergeFigures merge;
};

struct Comparison {
  std::string title;
  std::string calibrated;             // what the engine was calibrated to; empty = it was not
  double band_from = 0, band_to = 0;  // rev/s
  double build_tolerance = 0;         // m
  bool quick = false;                 // merge, build and gas were not computed
  models::JunctionLaw law = models::JunctionLaw::momentum;
  std::vector<double> speeds;  // rev/s
  std::vector<HeaderFigures> headers;
  // Every two headers, the later of the file less the earlier.
  std::vector<PairwiseComparison> pairs;
  std::vector<std::size_t> ranking;  // headers by their mean differences of torque, the best first
  std::vector<PulseSpacing> spacings;  // by header, speed, merge
  std::vector<double> step_length;     // m, longest - shortest primary of each header
  // Torque in N m over (header, speed); NaN where there is none.
  std::vector<std::vector<double>> torque;

  // Header a less header b; throws std::out_of_range.
  PairwiseComparison between(std::size_t a, std::size_t b) const;
};

Comparison compare_headers(const StudyResults& results);

// Whether no point failed, does not repeat, was clipped or is damaged.
bool is_sound(const Comparison& comparison);

// Speeds that would make the mean difference between the best header and any other one known to
// `wanted` N m over the band (band.hpp), rev/s, ascending, at most `most`; those that the largest
// errors ask for first. None closer than `least` to another one.
std::vector<double> speeds_wanted(const Comparison& comparison, double wanted, double least,
                                  std::size_t most);

// A figure of one header over the speeds, with its own interval, made of the same parts as that of
// a difference. Of the figures that have no noise from cycle to cycle in the file that part is left
// out. NaN where a point is missing.
struct FigureCurve {
  std::vector<double> value, low, high;  // SI, by speed
};

// By header, then by curve_figures.
std::vector<std::vector<FigureCurve>> figure_curves(const StudyResults& results);

}  // namespace pulsewright::tools
