// What a search may change of a header, within what fits the car, and what it is to aim at: the
// table [tune] of a case file. Plain data, SI.
#pragma once

#include <string>
#include <vector>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

// In the order of the choices of tune.vary.part.
enum class VariedPart {
  primary_length,
  primary_span,
  primary_tube,
  step_at,
  secondary_length,
  secondary_tube,
  collector_length,
  collector_tube,
  merge_diameter,
  tail_length,
  tail_tube,
  collector_order
};

// One dimension of a search. Its value is a length in m; of a tube the place of its size in the
// list, of an order its place among those of a collector (collector_orders()), both from 0.
struct DesignVariable {
  VariedPart part = VariedPart::primary_length;
  std::vector<int> cylinders{};  // of primaries; empty = all
  double from = 0, to = 0;       // m, smallest and largest length
  std::vector<Tube> tubes{};     // sizes to choose from, in the order of their list; none where the
                                 // file leaves them out (with_choices())
  int orders = 1;                // of collector_order: how many there are (with_choices())
  int line = 0;                  // of the case file

  bool is_tube() const {
    return part == VariedPart::primary_tube || part == VariedPart::secondary_tube ||
           part == VariedPart::collector_tube || part == VariedPart::tail_tube;
  }
  bool is_length() const { return !is_tube() && part != VariedPart::collector_order; }
  // Smallest and largest value.
  double least() const { return is_length() ? from : 0; }
  double greatest() const {
    if (is_length()) return to;
    return is_tube() ? static_cast<double>(tubes.size()) - 1 : orders - 1;
  }

  bool operator==(const DesignVariable&) const = default;
};

// Between which lengths the primaries of some cylinders fit, whatever a search makes of the others.
struct TubeFit {
  std::vector<int> cylinders;
  double shortest = 0, longest = 0;  // m

  bool operator==(const TubeFit&) const = default;
};

// How much each aim counts; all are torques, N m (tools/search/aims.hpp).
struct AimWeights {
  double mean = 0;         // over the band
  double dip = 0;          // the deepest in the band
  double top = 0;          // at the upper end of the band, where it makes the power
  double shift = 0;        // at a shift point
  double shift_speed = 0;  // rev/s, that one; 0 = none

  bool operator==(const AimWeights&) const = default;
};

struct Tune {
  std::string header;  // name of the one that a search begins with; empty = the first
  std::vector<DesignVariable> variables;
  std::vector<TubeFit> fits;
  AimWeights weights;
  int designs = 0;  // most that a tune computes
  int seed = 0;
};

}  // namespace pulsewright::cases
