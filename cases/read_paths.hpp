// Reads the ways of primaries in space and what they are bent from: tables `path` of a header, keys
// of [build].
#pragma once

#include <map>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// By cylinder. Notes a cylinder that the engine does not have or that has two, and lists of
// coordinates that differ in length.
std::map<int, TubePath> read_paths(Section& header, const Engine& engine);

BendStock read_bend_stock(Section& build);

}  // namespace pulsewright::cases
