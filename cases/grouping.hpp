// Which cylinders share a collector, in which order they fire, and what follows for the tubes.
//
// Everything here follows from the firing order, its intervals and the banks; there is no table of
// engines.
#pragma once

#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

// Crank angle in degrees at which a cylinder fires, 0..720, cylinder 1 at 0.
// Throws std::invalid_argument for a cylinder that is not in the firing order.
double firing_angle(const Engine& engine, int cylinder);

// Equal intervals for n cylinders: 720 / n each.
std::vector<double> even_intervals(std::size_t cylinders);

// A group of cylinders put into firing order, with the gaps between them (the last one back to the
// first). It begins with the member that comes first in the engine's firing order. Positions are
// 1, 2, ... in firing order, so that firing goes round the collector in rotation.
CollectorGroup make_group(const Engine& engine, std::string name,
                          const std::vector<int>& cylinders);

// One group per bank.
std::vector<CollectorGroup> groups_by_bank(const Engine& engine);

// `collectors` groups, named A, B, ...: group k takes the cylinders k, k + collectors, ... of the
// firing order. With even firing every group has even gaps; on a cross-plane V8 with two collectors
// this is the 180-degree header. Throws std::invalid_argument unless the cylinders divide evenly.
std::vector<CollectorGroup> groups_180_degree(const Engine& engine, int collectors);

// Splits a group into `parts` of equal size so that the smallest gap between any two cylinders of
// one part is as large as it can be (among equal splits: the largest sum of the parts' smallest
// gaps, then the first in firing order). Fills group.subgroups, and numbers the positions part by
// part, so that the tubes of one part lie next to each other round the collector. Throws
// std::invalid_argument unless the group divides into parts of at least one.
void split_far_apart(const Engine& engine, CollectorGroup& group, int parts);

// Index into group.cylinders of the leading cylinder of the pair that fires closest; -1 if no pair
// fires closer than another.
int leading_of_close_pair(const CollectorGroup& group);

// Lengths of a stepped header, in the order of group.cylinders: the leading cylinder of the close
// pair has the shortest tube, the trailing one the longest, and from there the lengths fall in
// equal steps in firing order round to the leading one. So the gap that is too small gains the
// whole span of lengths, and every other gap loses an equal part of it. Throws
// std::invalid_argument if no pair fires closer than another.
std::vector<double> stepped_lengths(const CollectorGroup& group, double shortest, double longest);

}  // namespace pulsewright::cases
