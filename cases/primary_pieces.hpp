// The pipes of one primary from the exhaust valve to its merge.
//
// A taper is part of a pipe's profile. A sudden step is not: within one cell the finite volumes
// lose six times what Borda and Carnot give. There the tube is cut in two pipes that a junction
// joins, which keeps the balance of momentum exactly (NetworkBuilder::add_joint).
#pragma once

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

// The pieces in the order the gas passes them, one at least. beyond: m by which the tube is longer
// than the header says.
std::vector<PrimaryPiece> primary_pieces(const Exhaust& exhaust, const HeaderDesign& header,
                                         int cylinder, double beyond);

}  // namespace pulsewright::cases
