// Whether an engine is mapped onto itself by a turn of its crank: cylinders that only the moment of
// their firing tells apart.
//
// In: the specification alone. A turn by some crank angle takes every cylinder to the one that
// fires so much later. It is a symmetry when the pipes can be mapped along: each to one of equal
// specification, joined to the image of what it was joined to, with the same angles between the
// branches of a junction. Then, for every motion of the gas, the motion with images and times
// exchanged obeys the same equations. It does not follow that the gas moves alike in all of these
// cylinders: a symmetric system may have solutions that are not symmetric, which then come in as
// many copies as there are images (Golubitsky & Stewart (2002), chapter 3).
//
// An engine with a pipe end that is prescribed over time, or with an orifice whose reservoir
// changes over time, counts as one without symmetry. Where outlets stand, which only sound depends
// on, and names are left out.
#pragma once

#include <optional>
#include <vector>

#include "models/network/specification.hpp"

namespace pulsewright::models {

struct EngineImages {
  double turn = 0;                     // deg, 0 .. < 720
  std::vector<std::size_t> cylinders;  // the image of each, which fires `turn` later
  std::vector<std::size_t> pipes;      // the image of each
};

// Of an engine in itself; turn > 0.
struct EngineSymmetry : EngineImages {
  // How many cylinders are the same: images of one, all sets are of this size.
  std::size_t order() const;
};

// The symmetry of the smallest turn, of which all others are multiples; none where there is none.
std::optional<EngineSymmetry> symmetry_of(const EngineSpecification& engine);

// Images of one engine in another, for parts of an engine (repeated_parts.hpp): the smallest turn
// under which the first is mapped onto the second; none where there is none.
std::optional<EngineImages> images_of(const EngineSpecification& from,
                                      const EngineSpecification& to);

}  // namespace pulsewright::models
