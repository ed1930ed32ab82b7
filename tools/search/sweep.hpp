// A map of torque and power over one or two dimensions: lengths, sizes, steps, orders round the
// collector, or the edges of the band itself.
//
// In: a header, one or two axes. Out: every design of the grid with its means over the band, the
// best, the plateau round it, and what the limits of the car cost.
//
// Plateau: along each axis through the best, the stretch within a margin of it, its ends where the
// line between two neighbours crosses that. Cost of a limit: how much the best within the limits of
// [tune] is behind the best of the map.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "tools/search/search_task.hpp"
#include "tools/search/trial_history.hpp"

namespace pulsewright::tools {

// Torque that hardly shows on a dynamometer, N m: the margin of a plateau.
inline constexpr double plateau_margin = 1;

enum class SweepKind { variable, band_from, band_to };

struct SweepAxis {
  SweepKind kind = SweepKind::variable;
  cases::DesignVariable variable;  // of that kind
  std::vector<double> values;      // m, places in a list, or rev/s; rising
};

// "primary_length=28 in to 36 in by 1 in", "primary_length[1+3]=...", "primary_tube" (all sizes of
// [tune], else those next to it), "collector_order", "band_from=4000 to 5000 by 500" (rpm). Without
// "by" a length has nine values. Throws std::invalid_argument that quotes the text and says what is
// allowed.
SweepAxis axis_of(const std::string& text, const cases::CaseFile& case_file,
                  const cases::HeaderDesign& header);
// Those of [tune], two at most, with what they choose from in this header.
std::vector<SweepAxis> axes_of_tune(const cases::CaseFile& case_file,
                                    const cases::HeaderDesign& header);
// Edges of the bands of the axes, rev/s: speeds are needed as far as these.
std::vector<double> band_edges(const std::vector<SweepAxis>& axes);
// The variables among the axes.
std::vector<cases::DesignVariable> variables_of(const std::vector<SweepAxis>& axes);

struct Plateau {
  double from = 0, to = 0;                      // in the unit of the values
  bool open_below = false, open_above = false;  // it reaches the first or last value
};

// Where the values stay within `margin` of the one at `best`. xs rising, one y for each; NaN ends
// the plateau.
Plateau plateau_of(const std::vector<double>& xs, const std::vector<double>& ys, std::size_t best,
                   double margin);

struct SweepCell {
  std::vector<std::size_t> place;  // by axis
  const Trial* trial = nullptr;
  double torque = 0, power = 0;  // N m and W, means over the band; NaN where a point failed
  bool counts = false;           // every point in the band does
};

struct SweepMap {
  std::vector<SweepAxis> axes;
  std::vector<SweepCell> cells;       // the last axis runs fastest
  std::optional<std::size_t> best;    // of the cells that count
  std::vector<Plateau> plateaus;      // by axis, where there is a best
  std::optional<std::size_t> within;  // the best within the limits of [tune], where it has such
  double start_torque = 0;            // N m, of the header as it is; NaN where it failed
};

// Computes it. Throws as TrialHistory::trials().
SweepMap sweep_map(const SearchTask& task, const std::vector<SweepAxis>& axes,
                   TrialHistory& history);

}  // namespace pulsewright::tools
