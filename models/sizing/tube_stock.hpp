// Tube as it is sold: outside diameters, walls and mandrel bends.
//
// Outside diameters in steps of an eighth of an inch and walls of Birmingham gauges 16 and 18
// (ASTM A500/A513, a maker's table); radii of bends as vendors list them (common practice, no
// source). Sizes below 1-1/2 in and of 4 in are from memory.
#pragma once

#include <span>
#include <string_view>

namespace pulsewright::models {

inline constexpr double wall_16_gauge = 0.065 * 0.0254;  // m
inline constexpr double wall_18_gauge = 0.049 * 0.0254;  // m

struct StockTube {
  std::string_view outside;            // "1-7/8 in"
  double outside_diameter = 0;         // m
  std::span<const double> bend_radii;  // m, to the centreline, rising

  double bore(double wall = wall_16_gauge) const { return outside_diameter - 2 * wall; }
};

// Rising.
std::span<const StockTube> tube_stock();

// The tube whose bore, with walls of 16 gauge, is nearest.
const StockTube& nearest_stock_tube(double bore);

// The tube of this outside diameter, within 0.2 mm; null if there is none.
const StockTube* find_stock_tube(double outside_diameter);

}  // namespace pulsewright::models
