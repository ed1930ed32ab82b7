// The order in which the tubes of a header stand round their collectors.
#pragma once

#include <cstddef>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Sets the positions of every collector group of the header as the lists of the key collector_order
// say: one list for each collector, its cylinders clockwise as seen from the flange, with the
// flow. The first cylinder of a group gets position 1, wherever the list begins, so that two
// lists that differ by a turn of the collector are the same input. Notes a cylinder that is
// missing, named twice or of another collector, and parts of a divided collector that are not
// neighbours.
void set_collector_order(Section& header, const std::vector<std::vector<int>>& lists,
                         std::vector<CollectorGroup>& groups);

// The cylinders of a group as their tubes stand round its collector.
std::vector<int> order_round(const CollectorGroup& group);

// Clock in deg from 12 o'clock, clockwise as seen from the flange, 0..360, of a position among
// `tubes` round a collector: the first stands left of the top by half the angle between two tubes,
// so that four tubes make a square that stands upright. Positions may lie between tubes.
double collector_clock(std::size_t tubes, double position);

// The different orders in which the tubes of a group can stand round its collector, each as
// CollectorGroup::collector_position. The first cylinder has position 1; of two orders that mirror
// each other, which the model cannot tell apart, there is one. Parts of a divided collector stay
// neighbours. The first is that in which firing goes round, where it is allowed.
std::vector<std::vector<int>> collector_orders(const CollectorGroup& group);

// Positions as they are seen from the other side of the collector.
std::vector<int> mirrored_order(const std::vector<int>& positions);

}  // namespace pulsewright::cases
