// A header with some of its parts from another one: what shows how much of a difference between the
// two each part makes.
//
//   length     way from the flange to the last crotch, where all tubes of a collector come
//              together, mean of the cylinders: the primary; of a 4-2-1 header primary and
//              secondary
//   tube       inside diameter and wall of the primaries, with their steps
//   collector  half angle, inlet, neck, cone, tube and length of the collector; tube, length and
//   cone
//              of the tail, whether collectors share it, balance pipes
//   kind       all else: the kind, which cylinders share a collector and their order round it,
//              differences between the primaries, pairs and secondaries (their tube and their share
//              of the length), the wall of a divided collector, the transition from the port, and
//              the bends, of which a tube across the engine has more
//
// A header takes another length by as much more or less for every primary, so that the steps of a
// stepped-length header stay what they are; of a 4-2-1 header primaries and secondaries keep their
// shares of it. An explicit network has no such parts.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

enum class HeaderPart : unsigned { length = 1, tube = 2, collector = 4, kind = 8 };

inline constexpr std::array header_parts{HeaderPart::length, HeaderPart::tube,
                                         HeaderPart::collector, HeaderPart::kind};

// Any of the parts: the sum of their numbers.
using HeaderParts = unsigned;
constexpr bool has_part(HeaderParts parts, HeaderPart part) {
  return (parts & static_cast<HeaderParts>(part)) != 0;
}

// "length", "tube", "collector", "kind".
std::string_view part_name(HeaderPart part);

// m, flange to last crotch, mean of the cylinders. Throws std::invalid_argument for a network.
double length_to_last_crotch(const HeaderDesign& header);

// The parts in which two headers differ. Throws std::invalid_argument for a network.
HeaderParts differing_parts(const HeaderDesign& one, const HeaderDesign& other);

// `header` with the parts (without the kind) of the other one, and without probes. It can be
// simulated, but it need not be possible to make: bends may be longer than their tube. Throws
// std::invalid_argument that says what cannot be: a network, or a pipe that would have no length,
// or less than 25 mm where both headers have longer ones.
HeaderDesign mixed_header(const CaseFile& case_file, const HeaderDesign& header,
                          const HeaderDesign& other, HeaderParts parts);

}  // namespace pulsewright::cases
