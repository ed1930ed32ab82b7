// Sizes of a header against each other, and the speeds at which the hand rules see it. From the
// case alone, nothing is simulated.
#pragma once

#include <optional>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

struct HeaderFigures {
  // Area of the collector over that of one tube that enters it, and over all of them together. Of a
  // header with secondaries the tubes are those. None without a collector.
  std::optional<double> collector_over_tube, collector_over_tubes;
  // Likewise of the neck or entry, merge_diameter. None without.
  std::optional<double> entry_over_tube, entry_over_tubes;
  std::size_t tubes = 0;  // of the collector with most of them
  // Of kinds with primaries, by the rules in models/sizing/hand_rules.hpp: speeds in rev/s, m.
  struct Rules {
    double torque_peak = 0;            // by the size of the primaries
    double shortest = 0, longest = 0;  // m, valve to merge; of a 4-2-1 header to the collector
    double shortest_speed = 0, longest_speed = 0;  // to which those are tuned
    double bore = 0;                               // m, that goes with the mean of those lengths
  };
  std::optional<Rules> rules;
};

// The case must come from the reader.
HeaderFigures header_figures(const CaseFile& case_file, const HeaderDesign& header);

}  // namespace pulsewright::cases
