// Numbers and verdicts of a comparison, from the points of a results file alone.
//
// A difference between two headers has a margin, plus or minus, from what the model and the build
// leave open:
//   grid     3 / (r - 1) |difference on the production grid - difference on the coarse grid|, where
//            r is the ratio of the cells: the index of Roache, J. Fluids Eng. 116 (1994) 405, for
//            two grids and the order 1, which engines show
//   cycle    change of both results between their last two cycles, added
//   build    change of the difference's two torques when every primary is longer by the build
//            tolerance, root of the sum of squares
//   merge    largest change of the difference when the constants of the merges are at either end
//            of their bands; with a law without such constants, when another law holds
//   gas      change of the difference when less heat of combustion makes the exhaust gas cooler
// margin = root of the sum of squares. Within it a difference is too close to call; when its sign
// changes under one of these runs, the ranking depends on the merge model, and it is too close to
// call as well.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/figures/point_result.hpp"
#include "tools/study/pattern_words.hpp"
#include "tools/study/shown_figures.hpp"
#include "tools/study/study_results.hpp"

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

struct HeaderFigures {
  std::string name;
  cases::HeaderKind kind = cases::HeaderKind::network;
  Peak torque, power;
  // Mean of a figure that band_figures names; throws std::out_of_range for another one.
  double band_mean(double models::PointResult::*member) const;
  std::array<BandMean, band_figures.size()> band;                       // by band_figures
  std::size_t missing = 0, unconverged = 0, failed = 0, repeating = 0;  // points
  std::size_t damaged = 0;  // points in the file that are not as they were written, of all runs
  long clipped = 0;
  std::vector<UnevenPoint> uneven;  // cylinders that are the same settled differently
  double worst_imbalance = 0;       // of the ledgers
};

// Parts of a margin, each in the unit of the figure, and the whole.
struct Margin {
  double grid = 0, cycle = 0, build = 0, merge = 0, gas = 0;
  double total() const;
};

enum class Verdict { ahead, behind, too_close };

struct Difference {
  double value = 0;  // SI, header - reference
  Margin margin;
  bool depends_on_merge = false;
  Verdict verdict() const;
};

struct SpeedDifference {
  double speed = 0;  // rev/s
  Difference torque;
};

// One header against the reference (the first header of the file).
struct PairwiseComparison {
  std::size_t header_number = 0;        // into Comparison::headers
  Difference torque;                    // N m, mean over the band
  Difference overlap_exhaust_pressure;  // Pa, mean over the band
  std::vector<SpeedDifference> speeds;
};

// Pulses at one merge at one speed.
struct PulseSpacing {
  std::size_t header_number = 0;
  double speed = 0;  // rev/s
  models::MergeFigures merge;
};

struct Comparison {
  std::string title;
  double band_from = 0, band_to = 0;  // rev/s
  double build_tolerance = 0;         // m
  bool quick = false;                 // merge, build and gas were not computed
  std::vector<double> speeds;         // rev/s
  std::vector<HeaderFigures> headers;
  std::vector<PairwiseComparison> pairs;
  std::vector<PulseSpacing> spacings;  // by header, speed, merge
  std::vector<double> step_length;     // m, longest - shortest primary of each header
  // Torque in N m over (header, speed); NaN where there is none.
  std::vector<std::vector<double>> torque;
};

Comparison compare_headers(const StudyResults& results);

// A figure of one header over the speeds, with what is known of its own error: the same parts as
// that of a difference. Of the figures that have no noise from cycle to cycle in the file that part
// is left out. NaN where a point is missing.
struct FigureCurve {
  std::vector<double> value;   // SI, by speed
  std::vector<double> margin;  // SI, plus or minus, by speed
};

// By header, then by curve_figures.
std::vector<std::vector<FigureCurve>> figure_curves(const StudyResults& results);

}  // namespace pulsewright::tools
