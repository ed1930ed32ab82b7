// The pipes of one primary from the exhaust valve to its merge.
//
// A taper is part of a pipe's profile. A sudden step is not: within one cell the finite volumes
// lose six times what Borda and Carnot give. There the tube is cut in two pipes that a junction
// joins, which keeps the balance of momentum exactly (NetworkBuilder::add_joint).
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

// No shorter piece of a tube becomes a pipe of its own, m: a pipe has four cells at least, and
// shorter cells would shorten the time step of the whole network.
inline constexpr double shortest_piece = 0.025;

struct PrimaryPiece {
  std::string name;
  std::vector<models::ProfilePoint> profile;  // from its beginning
  Tube tube;                                  // that it begins with; of the port: none
  double port = 0;                            // m of it that lie in the head
  double share = 1;                           // of the tube's length, flange to merge
};

// A step that cannot be: it lies too near to what is beside it, or leads to the bore before it.
struct StepFault {
  std::size_t step = 0;  // place in the list of steps
  bool same_bore = false;
  double from = 0, to = 0;  // m from the flange, between which it may lie
};

// The first of a primary's steps that cannot be; none where all can. from: m from the flange, where
// the tube has its own bore (HeaderDesign::port_transition). length: m, of the tube.
std::optional<StepFault> first_step_fault(const Primary& primary, double from, double length);

// The pieces in the order the gas passes them, one at least. beyond: m by which the tube is longer
// than the header says.
std::vector<PrimaryPiece> primary_pieces(const Exhaust& exhaust, const HeaderDesign& header,
                                         int cylinder, double beyond);

}  // namespace pulsewright::cases
